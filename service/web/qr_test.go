package web

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/boombuler/barcode/qr"
)

// TestSquareCodeIsTheCode reads the drawing back, module by module.
func TestSquareCodeIsTheCode(t *testing.T) {
	const address = "https://rillmark.example/check/jbl3mhsactrw54xulb6444bva4devywx"
	drawn, err := squareCode(address, `the "code"`)
	if err != nil {
		t.Fatal(err)
	}
	want, err := qr.Encode(address, qr.M, qr.Auto)
	if err != nil {
		t.Fatal(err)
	}
	side := want.Bounds().Dx()
	black := map[string]bool{}
	_, path, _ := strings.Cut(string(drawn), `class="black"`)
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1`).FindAllStringSubmatch(path, -1) {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		n, _ := strconv.Atoi(m[3])
		for i := range n {
			black[fmt.Sprint(x+i-4, ",", y-4)] = true
		}
	}
	for y := range side {
		for x := range side {
			if is := black[fmt.Sprint(x, ",", y)]; is != dark(want.At(x, y).RGBA()) {
				t.Fatalf("module %d,%d is %v", x, y, is)
			}
		}
	}
	if !strings.Contains(string(drawn), "the &#34;code&#34;") || strings.Count(string(drawn), "<svg") != 1 {
		t.Errorf("%.200s", drawn)
	}
}
