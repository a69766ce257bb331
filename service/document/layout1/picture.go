package layout1

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/draw"
	_ "image/jpeg" // a company's mark may come as JPEG
	"image/png"

	"github.com/boombuler/barcode/qr"

	"rillmark/calc/fault"
)

// BadPicture says that a picture cannot be printed: the library would print its own words
// in its place and report no error.
var BadPicture = fault.Define("document.bad-picture", fault.T("why"))

// picture is a decoded picture, written again in the one form that the library takes.
type picture struct {
	width, height float64 // mm
	png           []byte
}

const (
	markAtMostWide = 42.0
	markAtMostHigh = 13.0
	mostPixels     = 4_000_000
)

func (d *document) logoHeight() float64 {
	if d.logo == nil {
		return 0
	}
	return d.logo.height
}

// pictures decodes the company's mark and draws the code of the check page.
func (d *document) pictures() error {
	if d.s.Company.Mark != "" {
		data, err := base64.StdEncoding.DecodeString(d.s.Company.Mark)
		if err != nil {
			return BadPicture.At("company.mark", err.Error())
		}
		if d.logo, err = decoded(data); err != nil {
			return err
		}
	}
	if d.s.CheckAddress == "" || d.notice != "" {
		return nil
	}
	var err error
	d.qr, err = checkQR(d.s.CheckAddress)
	return err
}

// decoded reads a PNG or JPEG and fits it into the head.
func decoded(data []byte) (*picture, error) {
	about, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, BadPicture.At("company.mark", err.Error())
	}
	if about.Width*about.Height > mostPixels || about.Width < 1 || about.Height < 1 {
		return nil, BadPicture.At("company.mark", "too many pixels")
	}
	decoded, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, BadPicture.At("company.mark", err.Error())
	}
	flat := onPaper(decoded)
	written, err := written(flat)
	if err != nil {
		return nil, err
	}
	p := &picture{png: written}
	ratio := float64(flat.Bounds().Dx()) / float64(flat.Bounds().Dy())
	p.height = min(markAtMostHigh, markAtMostWide/ratio)
	p.width = p.height * ratio
	return p, nil
}

// onPaper puts a picture on white, at 8 bits, without transparency. One column is added to
// an even width: the library puts pictures of the same width in no fixed order, and the
// check code's is even.
func onPaper(from image.Image) image.Image {
	b := from.Bounds()
	wide := b.Dx() + (b.Dx()+1)%2
	flat := image.NewRGBA(image.Rect(0, 0, wide, b.Dy()))
	draw.Draw(flat, flat.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(flat, image.Rect(0, 0, b.Dx(), b.Dy()), from, b.Min, draw.Over)
	return flat
}

func written(picture image.Image) ([]byte, error) {
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
		return nil, BadPicture.At("picture", err.Error())
	}
	return out.Bytes(), nil
}

// qrPixels is how many pixels a module has: even, and enough to stay sharp in print.
const qrPixels = 12

// checkQR draws the address as a QR code, with the quiet edge of one module that the white
// page widens. Medium error correction survives a crease.
func checkQR(address string) ([]byte, error) {
	code, err := qr.Encode(address, qr.M, qr.Auto)
	if err != nil {
		return nil, BadPicture.At("check_address", err.Error())
	}
	side := code.Bounds().Dx()
	grey := image.NewGray(image.Rect(0, 0, side*qrPixels, side*qrPixels))
	for y := range side {
		row := grey.Pix[y*qrPixels*grey.Stride:]
		for x := range side * qrPixels {
			if r, _, _, _ := code.At(x/qrPixels, y).RGBA(); r > 0x7fff {
				row[x] = 255
			}
		}
		for i := 1; i < qrPixels; i++ {
			copy(row[i*grey.Stride:(i+1)*grey.Stride], row[:grey.Stride])
		}
	}
	return written(grey)
}
