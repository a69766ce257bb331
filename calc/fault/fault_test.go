package fault_test

import (
	"fmt"
	"testing"

	"rillmark/calc/fault"
)

var (
	tooThick = fault.Define("faulttest.too-thick", fault.N("wall_mm"), fault.T("layer"), fault.C("tries"))
	other    = fault.Define("faulttest.other")
)

func TestFaultCarriesItsArguments(t *testing.T) {
	f := tooThick.At("wall_m", 7.5, "liner", 2)
	if got, want := f.Error(), "wall_m: faulttest.too-thick wall_mm=7.5 layer=liner tries=2"; got != want {
		t.Errorf("Error() = %q, want %q", got, want)
	}
	if f.Value("layer") != "liner" || f.Value("nothing") != nil {
		t.Errorf("Value: got %v and %v", f.Value("layer"), f.Value("nothing"))
	}
	if got := f.Values(); got["tries"] != 2 || len(got) != 3 {
		t.Errorf("Values() = %v", got)
	}
	if got := f.In("bore").Field; got != "bore" {
		t.Errorf("In: field %q", got)
	}
	if (fault.Fault{}).Error() == "" {
		t.Error("the zero fault has no text")
	}
}

func TestFaultIsFoundInsideAnError(t *testing.T) {
	err := fmt.Errorf("spacing: %w", fault.List{tooThick.At("a", 1.0, "wall", 1), other.At("b")}.Err())
	if !fault.Has(err, other) || !fault.Has(err, tooThick) {
		t.Error("Has does not find the codes of a list")
	}
	if f, ok := fault.Of(err); !ok || f.Field != "a" {
		t.Errorf("Of = %v, %v", f, ok)
	}
	if got := len(fault.AllOf(fmt.Errorf("x: %w", other.At("c")))); got != 1 {
		t.Errorf("AllOf of one fault has %d", got)
	}
	if fault.AllOf(fmt.Errorf("plain")) != nil || fault.Has(nil, other) {
		t.Error("a plain error has no fault")
	}
	if fault.List(nil).Err() != nil {
		t.Error("an empty list is an error")
	}
}

func TestMisusePanics(t *testing.T) {
	for name, misuse := range map[string]func(){
		"wrong count":  func() { tooThick.At("", 1.0) },
		"wrong type":   func() { tooThick.At("", "1", "wall", 1) },
		"taken name":   func() { fault.Define("faulttest.other") },
		"no package":   func() { fault.Define("other") },
		"capital":      func() { fault.Define("faulttest.Other") },
		"empty parts":  func() { fault.Define(".") },
		"wrong number": func() { tooThick.At("", 1, "wall", 1) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			misuse()
		})
	}
}

func TestAllIsSorted(t *testing.T) {
	all := fault.All()
	for i := 1; i < len(all); i++ {
		if all[i-1].Name() >= all[i].Name() {
			t.Errorf("%s before %s", all[i-1].Name(), all[i].Name())
		}
	}
	if len(tooThick.Args()) != 3 || len(all) < 2 {
		t.Error("declared codes or arguments are missing")
	}
}
