package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"rillmark/service/privatepg"
)

// composed is docker-compose.yml as far as it is used; a key that is not here is refused,
// so that one written wrongly is found without Docker (Compose Specification, file 05 to 09,
// from memory).
type composed struct {
	Ours     any `yaml:"x-ours"`
	Services map[string]composedService
	Volumes  map[string]any
	Secrets  map[string]struct{ File string }
}

type composedService struct {
	Image       string
	Build       composedBuild
	Restart     string
	Command     []string
	Environment map[string]string
	Secrets     []string
	Ports       []string
	Volumes     []string
	Tmpfs       []string
	ReadOnly    bool                                  `yaml:"read_only"`
	CapDrop     []string                              `yaml:"cap_drop"`
	SecurityOpt []string                              `yaml:"security_opt"`
	DependsOn   map[string]struct{ Condition string } `yaml:"depends_on"`
	Grace       string                                `yaml:"stop_grace_period"`
	Healthcheck struct {
		Test              []string
		Interval, Timeout string
		Retries           int
		StartPeriod       string `yaml:"start_period"`
	}
}

type composedBuild struct {
	Context string
	Inline  string `yaml:"dockerfile_inline"`
}

func readComposed(t *testing.T) composed {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(moduleRoot, "docker-compose.yml"))
	if err != nil {
		t.Fatal(err)
	}
	var c composed
	if err := yaml.UnmarshalWithOptions(b, &c, yaml.Strict()); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"database", "prepare", "app"} {
		if _, there := c.Services[name]; !there || len(c.Services) != 3 {
			t.Fatalf("services %v", c.Services)
		}
	}
	return c
}

func TestComposedDatabase(t *testing.T) {
	db := readComposed(t).Services["database"]
	m := regexp.MustCompile(`^postgres:([0-9]+)`).FindStringSubmatch(db.Image)
	if m == nil {
		t.Fatalf("image %s", db.Image)
	}
	if major, _ := strconv.Atoi(m[1]); major < privatepg.OldestMajor {
		t.Errorf("PostgreSQL %d, want %d or newer", major, privatepg.OldestMajor)
	}
	if len(db.Ports) > 0 {
		t.Errorf("the database is open to the outside: %v", db.Ports)
	}
	if len(db.Volumes) != 1 || !strings.HasPrefix(db.Volumes[0], "database:") {
		t.Errorf("the data lie in %v, not in a volume that outlives the container", db.Volumes)
	}
	if !slices.Contains(db.Healthcheck.Test, "pg_isready") {
		t.Errorf("health is asked by %v", db.Healthcheck.Test)
	}
}

func TestComposedSecretsAreFiles(t *testing.T) {
	c := readComposed(t)
	for name, s := range c.Secrets {
		if s.File != "./.secrets/"+name {
			t.Errorf("secret %s comes from %q", name, s.File)
		}
	}
	for name, s := range c.Services {
		for _, secret := range s.Secrets {
			if _, there := c.Secrets[secret]; !there {
				t.Errorf("%s asks for the secret %s, which is nowhere", name, secret)
			}
		}
		for variable, value := range s.Environment {
			if secret, found := strings.CutPrefix(value, "/run/secrets/"); found {
				if !slices.Contains(s.Secrets, secret) || !strings.HasSuffix(variable, "_FILE") {
					t.Errorf("%s: %s=%s, and its secrets are %v", name, variable, value, s.Secrets)
				}
			} else if strings.Contains(variable, "PASSWORD") {
				t.Errorf("%s: %s holds a password in the open", name, variable)
			}
		}
	}
}

// What the two services of ours are told must be what the program knows.
func TestComposedSettingsAndCommands(t *testing.T) {
	c := readComposed(t)
	for _, name := range []string{"prepare", "app"} {
		s := c.Services[name]
		of, rest, found := lookUpCommand(s.Command)
		if !found || len(rest) > 0 {
			t.Fatalf("%s runs %q", name, s.Command)
		}
		environ := []string{}
		for variable, value := range s.Environment {
			environ = append(environ, variable+"="+strings.TrimSuffix(strings.TrimPrefix(value, "${RILLMARK_PUBLIC_URL:-"), "}"))
			known := slices.ContainsFunc(settings, func(s setting) bool { return s.variable() == variable && s.usedBy(of) })
			if !known {
				t.Errorf("%s: %s is no setting of rillmark %s", name, variable, of.words)
			}
		}
		p := &program{environ: environ}
		if _, err := p.load(of, newCall(of)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if !s.ReadOnly || !slices.Contains(s.CapDrop, "ALL") || !slices.Contains(s.SecurityOpt, "no-new-privileges:true") {
			t.Errorf("%s has rights it does not need", name)
		}
		if s.DependsOn["database"].Condition != "service_healthy" {
			t.Errorf("%s does not wait for the database", name)
		}
	}
	app := c.Services["app"]
	if app.DependsOn["prepare"].Condition != "service_completed_successfully" {
		t.Error("the server does not wait for the roles")
	}
	if !slices.Equal(app.Healthcheck.Test, []string{"CMD", "/rillmark", "health"}) {
		t.Errorf("health is asked by %v", app.Healthcheck.Test)
	}
	for _, port := range app.Ports {
		if !strings.HasPrefix(port, "127.0.0.1:") {
			t.Errorf("port %s is open to the world without TLS", port)
		}
	}
}

func TestComposedImage(t *testing.T) {
	c := readComposed(t)
	if c.Services["app"].Build != c.Services["prepare"].Build {
		t.Error("the two services are built in two ways")
	}
	docker := c.Services["app"].Build.Inline
	for _, name := range topLevelNames(t) {
		folder := slices.Contains(levels, name) || slices.Contains(files, name)
		if copied := strings.Contains(docker, "COPY "+name+" ./"+name+"\n"); copied != folder {
			t.Errorf("%s: copied into the image %v, want %v", name, copied, folder)
		}
	}
	gomod, err := os.ReadFile(filepath.Join(moduleRoot, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?m)^go ([0-9]+\.[0-9]+)`).FindSubmatch(gomod)
	if m == nil || !strings.Contains(docker, "FROM golang:"+string(m[1])+"-") {
		t.Errorf("the image is not built with the Go of go.mod, %q", m)
	}
	last := docker[strings.LastIndex(docker, "FROM "):]
	if !regexp.MustCompile(`(?m)^USER [1-9][0-9]*:[1-9][0-9]*$`).MatchString(last) {
		t.Errorf("the program runs as root in\n%s", last)
	}
}
