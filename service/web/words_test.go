package web

import (
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"

	"rillmark/domain/audit"
	"rillmark/domain/kit"
	"rillmark/domain/method"
	"rillmark/domain/person"
	"rillmark/domain/register"
	"rillmark/domain/visit"
	"rillmark/service/sentence"
	"rillmark/templates"
)

// TestTemplatesNameWordsThatAreThere reads the keys in the templates rather than running
// them, so that a branch no test takes is held to the catalogue too.
func TestTemplatesNameWordsThatAreThere(t *testing.T) {
	known := pageKeys(t)
	used := templateKeys(t)
	if len(used) < 10 {
		t.Fatalf("found %d keys in the templates: the search is broken", len(used))
	}
	for key, file := range used {
		if !known[key] {
			t.Errorf("%s: no words for %q", file, key)
		}
	}
}

// TestEveryKeyInTheSourceHasWords looks up the keys that Go files here write out whole.
func TestEveryKeyInTheSourceHasWords(t *testing.T) {
	known := pageKeys(t)
	call := regexp.MustCompile(`\b(?:text|Text|t)\("([a-z][A-Za-z0-9._-]*[A-Za-z0-9])"[,)]`)
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range call.FindAllStringSubmatch(string(data), -1) {
			if found++; !known[m[1]] {
				t.Errorf("%s: no words for %q", f, m[1])
			}
		}
	}
	if found < 100 {
		t.Errorf("found %d keys in the source: the search is broken", found)
	}
}

// TestEveryWordIsUsed finds words that nothing shows any more. A key counts as used when
// a template or a Go file here holds it whole, or holds a prefix of it that ends in "."
// or "-" and is joined with the rest, there or where it is handed to.
func TestEveryWordIsUsed(t *testing.T) {
	used := templateKeys(t)
	var source strings.Builder
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source: %v", err)
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		source.Write(data)
	}
	prefixes := regexp.MustCompile(`"([a-z][a-z0-9-]*\.(?:[a-z0-9.-]*[.-])?)"(?: ?\+|,|\})`).FindAllStringSubmatch(source.String(), -1)
	for key := range pageKeys(t) {
		joined := false
		for _, p := range prefixes {
			joined = joined || strings.HasPrefix(key, p[1])
		}
		if used[key] == "" && !joined && !strings.Contains(source.String(), `"`+key+`"`) {
			t.Errorf("nothing shows the words of %q", key)
		}
	}
}

func pageKeys(t *testing.T) map[string]bool {
	t.Helper()
	keys := map[string]bool{}
	for _, file := range sentence.PageFiles(templates.Files, "en") {
		data, err := fs.ReadFile(templates.Files, file)
		if err != nil {
			t.Fatal(err)
		}
		parsed, err := i18n.ParseMessageFileBytes(data, file, map[string]i18n.UnmarshalFunc{"toml": toml.Unmarshal})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range parsed.Messages {
			if m.Other == "" {
				t.Errorf("the words of %q are empty", m.ID)
			}
			keys[m.ID] = true
		}
	}
	return keys
}

func templateKeys(t *testing.T) map[string]string {
	t.Helper()
	keys := map[string]string{}
	call := regexp.MustCompile(`[{( ]t "([^"]+)"`)
	err := fs.WalkDir(templates.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".html") {
			return err
		}
		data, err := fs.ReadFile(templates.Files, path)
		for _, m := range call.FindAllStringSubmatch(string(data), -1) {
			keys[m[1]] = path
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return keys
}

// TestEveryActionAndFieldHasWords reads the actions from the services' source and the
// audited fields from the domain's structs: a history must never show a bare key.
func TestEveryActionAndFieldHasWords(t *testing.T) {
	known := pageKeys(t)
	// In a command, on its own line as a service's op, or handed to the one way to record.
	action := regexp.MustCompile(`(?:Action: +|const op = |, a, )"([a-z_-]+\.[a-z_.-]+)"`)
	found := map[string]bool{}
	for _, service := range []string{"account", "registry", "equipment", "agreeing", "planning", "capture", "issuing"} {
		files, err := filepath.Glob("../" + service + "/*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			data, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range action.FindAllStringSubmatch(string(data), -1) {
				found[m[1]] = true
				if !known["event."+m[1]] {
					t.Errorf("%s: no words for the event %q", f, m[1])
				}
				if !slices.Contains(actions, m[1]) {
					t.Errorf("%s: the trail cannot be looked through by %q", f, m[1])
				}
			}
		}
	}
	for _, a := range actions {
		if !found[a] {
			t.Errorf("nobody does %q", a)
		}
	}
	for kind, thing := range map[audit.Kind]any{audit.Client: register.Client{}, audit.Site: register.Site{}, audit.Point: register.Point{}, audit.Person: person.Person{},
		audit.Meter: register.Meter{}, audit.Indication: register.Indication{}, audit.Installation: register.Installation{}, audit.KitItem: kit.Item{},
		audit.Calibration: kit.Calibration{}, audit.EquipmentSet: kit.Set{}, audit.Method: method.Method{}, audit.MethodEdition: method.Edition{},
		audit.Authorisation: method.Authorisation{}, audit.Agreement: method.Agreement{}, audit.Visit: visit.Visit{}} {
		fields := reflect.TypeOf(thing)
		for i := range fields.NumField() {
			if f := fields.Field(i); f.Tag.Get("audit") != "" && !known[fieldLabel(kind, f.Tag.Get("db"))] {
				t.Errorf("no words for the field %q", fieldLabel(kind, f.Tag.Get("db")))
			}
		}
	}
	for _, key := range sayableKeys() {
		if !known[key] {
			t.Errorf("no words for %q", key)
		}
	}
}

func sayableKeys() []string {
	var keys []string
	for key := range sayable {
		keys = append(keys, "said."+key)
	}
	for _, title := range titles {
		keys = append(keys, "problem."+title)
	}
	return keys
}
