package web

import (
	"net/http"
	"net/url"
	"testing"

	"rillmark/calc/pipe"
	. "rillmark/service/web/webtest"
)

// TestPipesOfEveryStandard walks the three steps of taking a standard pipe, for a pipe of
// each product standard, as a technician does without scripts, and reads the survey after.
func TestPipesOfEveryStandard(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	main := p.c.Get(p.path+"/pipe").Want(http.StatusOK, Sound())
	for _, one := range []struct{ standard, size, schedule, says string }{
		{"ASME B36.10M", "6", "40", "168.275 mm"},
		{"ASME B36.19M", "8", "10S", "219.075 mm"},
		{"EN 10220", "200", "6.3 mm", "219.100 mm"},
		{"ASTM B88", "2", "L", "53.975 mm"},
		{"ASTM D1785", "4", "40", "114.300 mm"},
		{"ISO 4427", "110", "11", "110.000 mm"},
		{"EN 545", "300", "K9", "326.000 mm"},
		{"AWWA C151", "12", "350", "335.280 mm"},
	} {
		t.Run(one.standard, func(t *testing.T) {
			main.Want(http.StatusOK, In(`input[name="standard"][value="`+one.standard+`"]`))
			of := p.path + "/pipe?" + url.Values{"standard": {one.standard}}.Encode()
			p.c.Get(of).Want(http.StatusOK, Sound(), In(`select[name="size"] option[value="`+one.size+`"]`))
			sized := p.c.Get(of+"&"+url.Values{"size": {one.size}}.Encode()).Want(http.StatusOK, Sound(), In(`select[name="schedule"]`))
			p.c.Submit(sized, p.path+"/pipe", url.Values{"schedule": {one.schedule}, "source": {"client"}}).Want(http.StatusSeeOther)
			p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says(one.standard), Says(one.says)))
		})
	}
	if n := len(pipe.Standards()); n != 8 {
		t.Errorf("%d standards, and 8 are walked", n)
	}
	p.c.Get(p.path+"/pipe?standard=nobody%27s").Want(http.StatusOK, Sound(), In(`input[name="standard"]`))
}

// TestWhatIsEnteredInTheReference: the mounting tells the pipe as it is at the fluid's
// temperature. EN 10220 DN 200 × 6.3 of carbon steel at 120 °C and 9 bar is 219.1 mm ·
// (1 + 11.7e-6 · 100 + 6.3e-5) wide, the last by p·D/(2·t·E)·(1 − ν/2), by hand.
func TestWhatIsEnteredInTheReference(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	sized := p.c.Get(p.path + "/pipe?standard=EN+10220&size=200").Want(http.StatusOK)
	p.c.Submit(sized, p.path+"/pipe", url.Values{"schedule": {"6.3 mm"}, "source": {"client"}}).Want(http.StatusSeeOther)
	for _, v := range [][2]string{{"pipe-material", "carbon steel"}, {"fluid", "water"}, {"temperature", "120"}, {"pressure", "9 bar gauge"}} {
		p.send("/survey/"+v[0], "/survey", url.Values{"entered": {v[1]}, "source": {"client"}})
	}
	p.c.Get(p.path+"/mounting").Want(http.StatusOK, Sound(), In("main", Says("To enter in the reference"), Says("219.37 mm"), Says("6.31 mm"),
		Says("shear wave"), Says("3230 m/s"), Says("1522 m/s"), Says("0.12 %")))
}

// TestFluidsAskForWhatTheyNeed: a fluid chosen asks for its own value next, and is worked
// with; one without a sound speed leads to it from the mounting.
func TestFluidsAskForWhatTheyNeed(t *testing.T) {
	t.Parallel()
	p := openPipeside(t)
	enter := func(name, entered string) Answer {
		t.Helper()
		return p.send("/survey/"+name, "/survey", url.Values{"entered": {entered}, "source": {"client"}})
	}
	for name, entered := range map[string]string{"outside-diameter": "219.1", "wall": "6.3", "pipe-material": "carbon steel"} {
		enter(name, entered)
	}
	p.c.Get(p.path+"/survey/fluid").Want(http.StatusOK, Sound(), In("main", Says("sea water"), Says("asks for the API gravity")))
	if got := enter("fluid", "seawater"); got.Location != p.path+"/survey/salinity" {
		t.Errorf("sea water leads to %s", got.Location)
	}
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("Salinity"), Says("sea water")))
	p.c.Get(p.path+"/mounting").Want(http.StatusOK, In(`a[href="`+p.path+`/survey/salinity"]`))
	enter("salinity", "35")
	enter("temperature", "16")
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("35 g/kg")))
	p.c.Get(p.path+"/mounting").Want(http.StatusOK, In(`input[name="spacing"]`), In("main", Says("mm")))

	enter("fluid", "propylene-glycol-water")
	if got := enter("mass-fraction", "35"); got.Location == p.path+"/survey/mass-fraction" {
		t.Error("the share of glycol is asked for again")
	}
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("35 %")))
	p.c.Get(p.path+"/mounting").Want(http.StatusOK, In(`a[href="`+p.path+`/survey/fluid-sound-speed"]`))
	enter("fluid", "crude-oil")
	enter("api-gravity", "32")
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("32 °API"), Says("viscosity of the fluid is not known here")))
	enter("kinematic-viscosity", "8.4")
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("8.4 cSt"), Silent("is not known here")))
	enter("fluid", "propylene-glycol-water")
	enter("mass-fraction", "80 %")
	p.c.Get(p.path+"/survey").Want(http.StatusOK, In("main", Says("lies outside 0.2 to 0.52")))
}
