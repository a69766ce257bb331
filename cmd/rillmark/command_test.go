package main

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestEveryCommandExplainsItself(t *testing.T) {
	code, all := inside(t, nil, "", "help")
	wantRun(t, code, all, exitDone)
	for _, c := range commands() {
		if !strings.Contains(all.out, "rillmark "+c.words) {
			t.Errorf("help does not list %s", c.words)
		}
		byHelp := append([]string{"help"}, strings.Fields(c.words)...)
		code, one := inside(t, nil, "", byHelp...)
		wantRun(t, code, one, exitDone, c.does)
		code, two := inside(t, nil, "", append(strings.Fields(c.words), "--help")...)
		wantRun(t, code, two, exitDone, c.does)
		if one != two {
			t.Errorf("%s: help and --help differ", c.words)
		}
		for _, s := range c.settings {
			if !strings.Contains(one.out, "--"+s) {
				t.Errorf("help %s does not tell --%s", c.words, s)
			}
		}
	}
}

func TestCallsThatAreNotUnderstood(t *testing.T) {
	for name, c := range map[string]struct {
		args []string
		want []string
	}{
		"nothing":            {nil, []string{"rillmark demo"}},
		"unknown":            {[]string{"dance"}, []string{"dance"}},
		"half of two words":  {[]string{"migrate"}, []string{"migrate"}},
		"unknown second":     {[]string{"migrate", "sideways"}, []string{"migrate sideways"}},
		"unknown flag":       {[]string{"demo", "--prot", "1"}, []string{"--prot"}},
		"port that is none":  {[]string{"demo", "--port", "x"}, []string{"--port"}},
		"too many words":     {[]string{"version", "now"}, []string{"now"}},
		"help for nothing":   {[]string{"help", "dance"}, []string{"dance"}},
		"calc without kind":  {[]string{"calc"}, []string{"KIND"}},
		"person without all": {[]string{"person", "add", "--login", "a"}, []string{"--name"}},
		"down unconfirmed":   {[]string{"migrate", "down"}, nil},
		"down nowhere":       {[]string{"migrate", "down", "--lose-data", "--steps", "0"}, []string{"--steps"}},
		"unknown kind":       {[]string{"calc", "weather"}, []string{"weather"}},
	} {
		t.Run(name, func(t *testing.T) {
			code, got := inside(t, nil, "", c.args...)
			wantRun(t, code, got, exitUsage, c.want...)
			if got.out+got.err == "" {
				t.Error("nothing was said")
			}
		})
	}
}

func TestVersion(t *testing.T) {
	code, got := inside(t, nil, "", "version")
	wantRun(t, code, got, exitDone, "rillmark ", "migration ")
}

func TestCalcAnswers(t *testing.T) {
	code, got := inside(t, nil, `[]`, "calc", "quantity")
	wantRun(t, code, got, exitDone, "[")
	var answers []any
	if err := json.Unmarshal([]byte(got.out), &answers); err != nil || answers == nil || len(answers) != 0 {
		t.Errorf("an empty list gave %q, %v", got.out, err)
	}
}

func TestHealthOfNothing(t *testing.T) {
	code, got := inside(t, nil, "", "health", "--listen", "127.0.0.1:1")
	wantRun(t, code, got, exitFailed, "http://127.0.0.1:1/healthz")
}
