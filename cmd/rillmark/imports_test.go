package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// listed is a package as "go list -json" tells it.
type listed struct {
	ImportPath   string
	Name         string
	Doc          string
	Dir          string
	GoFiles      []string
	Imports      []string
	TestImports  []string
	XTestImports []string
}

const module = "rillmark/"

func listPackages(t *testing.T) []listed {
	t.Helper()
	c := exec.Command("go", "list", "-json", "./...")
	c.Dir = moduleRoot
	var stderr bytes.Buffer
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.Bytes())
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	if len(all) < 10 {
		t.Fatalf("go list tells of %d packages: the search is broken", len(all))
	}
	return all
}

const moduleRoot = "../.."

func TestImportsPointOneWay(t *testing.T) {
	for _, p := range listPackages(t) {
		for _, problem := range judge(p) {
			t.Error(problem)
		}
	}
}

// The rules are tried on imports that break them: a test that cannot fail proves nothing.
func TestImportRulesBite(t *testing.T) {
	for name, c := range map[string]struct {
		p    listed
		want string
	}{
		"calc uses a library":       {listed{ImportPath: "rillmark/calc/x", Imports: []string{"github.com/google/uuid"}}, "browser"},
		"calc reads files":          {listed{ImportPath: "rillmark/calc/x", Imports: []string{"os"}}, "no I/O"},
		"calc knows the domain":     {listed{ImportPath: "rillmark/calc/x", Imports: []string{"rillmark/domain"}}, "one way"},
		"domain has a database":     {listed{ImportPath: "rillmark/domain/x", Imports: []string{"github.com/jackc/pgx/v5"}}, "domain"},
		"domain calls out":          {listed{ImportPath: "rillmark/domain/x", Imports: []string{"net/http"}}, "no I/O"},
		"domain throws dice":        {listed{ImportPath: "rillmark/domain/x", Imports: []string{"math/rand/v2"}}, "no I/O"},
		"domain knows a service":    {listed{ImportPath: "rillmark/domain/x", Imports: []string{"rillmark/service/store"}}, "one way"},
		"a test against the stream": {listed{ImportPath: "rillmark/domain/x", XTestImports: []string{"rillmark/service/store"}}, "one way"},
		"service knows a service":   {listed{ImportPath: "rillmark/service/account", Imports: []string{"rillmark/service/registry"}}, "never import each other"},
		"service knows the pages":   {listed{ImportPath: "rillmark/service/registry", Imports: []string{"rillmark/service/web/part"}}, "never import each other"},
		"service knows the command": {listed{ImportPath: "rillmark/service/web", Imports: []string{"rillmark/cmd/rillmark/calcjson"}}, "one way"},
		"document reads the store":  {listed{ImportPath: "rillmark/service/document/layout1", Imports: []string{"rillmark/service/store"}}, "no store"},
		"Gin in a service":          {listed{ImportPath: "rillmark/service/account", Imports: []string{"github.com/gin-gonic/gin"}}, "Gin stops"},
		"Gin in a command":          {listed{ImportPath: "rillmark/cmd/rillmark", Imports: []string{"github.com/gin-gonic/gin"}}, "Gin stops"},
		"test helper in production": {listed{ImportPath: "rillmark/service/account", Imports: []string{"rillmark/service/store/storetest"}}, "only tests"},
		"migrations do something":   {listed{ImportPath: "rillmark/migrations", Imports: []string{"os"}}, "embedded files"},
		"a room nobody knows":       {listed{ImportPath: "rillmark/util"}, "no room"},
	} {
		t.Run(name, func(t *testing.T) {
			problems := judge(c.p)
			if len(problems) != 1 || !strings.Contains(problems[0], c.want) {
				t.Errorf("problems %q, want one about %q", problems, c.want)
			}
		})
	}
	for _, fine := range []listed{
		{ImportPath: "rillmark/calc/stat", Imports: []string{"math", "gonum.org/v1/gonum/stat", "rillmark/calc/num"}},
		{ImportPath: "rillmark/service/web", Imports: []string{"rillmark/service/account", "rillmark/templates", "net/http"}},
		{ImportPath: "rillmark/service/store/storetest", Imports: []string{"rillmark/service/privatepg", "testing"}},
		{ImportPath: "rillmark/service/document/layout1", Imports: []string{"rillmark/service/plot", "rillmark/domain/certificate"}},
		{ImportPath: "rillmark/service/account", XTestImports: []string{"rillmark/service/store/storetest"}},
	} {
		if problems := judge(fine); len(problems) > 0 {
			t.Errorf("%s: %q", fine.ImportPath, problems)
		}
	}
}

// levels from the bottom; an import goes to the same level or below it.
var levels = []string{"calc", "domain", "service", "cmd"}

// files are the rooms that hold embedded files.
var files = []string{"migrations", "templates"}

// outward are the standard packages by which a package meets the world, its clock apart.
var outward = []string{"os", "net", "database", "syscall", "log", "io/ioutil", "math/rand", "crypto/rand", "runtime/debug", "plugin"}

// seeded may use a generator of numbers, each run of which gets its seed from outside.
var seeded = map[string]string{"calc/uncertainty": "math/rand/v2"}

// domainLibraries are what the domain may use besides the standard library: none of them
// does I/O when it is used as the domain does.
var domainLibraries = []string{"github.com/google/uuid", "golang.org/x/text"}

// storeless services turn bytes into bytes; with a store they would be slow where a lock
// is held, and could not be made again from the snapshot alone.
var storeless = []string{"sentence", "privatepg", "plot", "logfile", "document"}

// owners say which room a library stops at.
var owners = []struct{ library, room, reason string }{
	{"github.com/gin-gonic/gin", "service/web", "Gin stops at service/web: a service is called with a command, not with a request"},
	{"github.com/golang-migrate/migrate", "service/store", "migrations are run by service/store alone, under its lock"},
	{"github.com/chromedp/chromedp", "service/web/webtest", "a browser is driven by service/web/webtest, for tests"},
	{"github.com/BurntSushi/toml", "cmd", "files of settings are read by the command; service/sentence reads its catalogue"},
}

// judge returns what is wrong with the package's imports, each with the rule's reason.
func judge(p listed) (problems []string) {
	room := strings.TrimPrefix(p.ImportPath, module)
	level := levelOf(room)
	if level < 0 && !slices.Contains(files, room) {
		return []string{p.ImportPath + ": there is no room of that name; the layout has calc, domain, service, cmd, migrations and templates"}
	}
	for _, to := range p.Imports {
		if why := forbidden(room, level, to); why != "" {
			problems = append(problems, p.ImportPath+" imports "+to+": "+why)
		}
	}
	for _, to := range append(slices.Clone(p.TestImports), p.XTestImports...) {
		if inside, ours := strings.CutPrefix(to, module); ours && level >= 0 && levelOf(inside) > level {
			problems = append(problems, p.ImportPath+"'s tests import "+to+": imports point one way, cmd → service → domain → calc, in tests as well")
		}
	}
	return problems
}

func levelOf(room string) int {
	first, _, _ := strings.Cut(room, "/")
	return slices.Index(levels, first)
}

func forbidden(room string, level int, to string) string {
	inside, ours := strings.CutPrefix(to, module)
	switch {
	case slices.Contains(files, room):
		if to != "embed" {
			return room + " holds embedded files and does nothing"
		}
		return ""
	case ours && isTestHelper(inside) && !isTestHelper(room):
		return "packages whose name ends in test are for tests; only tests and each other may import them"
	case ours && levelOf(inside) > level:
		return "imports point one way, cmd → service → domain → calc: what is below must not know what is above"
	case ours && room != inside && strings.HasPrefix(room, "service/") && strings.HasPrefix(inside, "service/"):
		return betweenServices(room, inside)
	case !ours:
		return foreign(room, to)
	}
	return ""
}

func isTestHelper(room string) bool {
	return strings.HasSuffix(room, "test") && strings.HasPrefix(room, "service/")
}

// betweenServices knows the exceptions: the store serves them all, the pages call them all,
// the demo and helpers of tests write through them, storetest starts the private cluster,
// a certificate's plots are those of the pages, and capture keeps what loggers' files hold.
func betweenServices(room, to string) string {
	from, target := serviceOf(room), serviceOf(to)
	switch {
	case from == target, from == "web", from == "demo" && target != "web", isTestHelper(room) && target != "web":
		return ""
	case target == "store" && slices.Contains(storeless, from):
		return "service/" + from + " has no store: it turns what it is given into what it returns"
	case target == "store", room == "service/store/storetest" && target == "privatepg":
		return ""
	case from == "document" && target == "plot", from == "capture" && target == "logfile":
		return ""
	}
	return "services never import each other: a rule they share belongs to domain, a query they share to service/store"
}

func serviceOf(room string) string { return strings.Split(room, "/")[1] }

func foreign(room, to string) string {
	standard := !strings.Contains(strings.Split(to, "/")[0], ".")
	level := levelOf(room)
	switch {
	case standard && level < 2 && under(to, outward...) && seeded[room] != to:
		return "calc and domain do no I/O and hold no clock and no randomness; what they need is passed in"
	case !standard && level == 0 && !under(to, "gonum.org/v1/gonum"):
		return "calc is the standard library and gonum: it is compiled for the browser and frozen with each certificate"
	case !standard && level == 1 && !under(to, domainLibraries...):
		return "domain has its short list of libraries that do no I/O; this one is not on it"
	}
	for _, o := range owners {
		if under(to, o.library) && !under(room, o.room) && !(o.room == "cmd" && room == "service/sentence") {
			return o.reason
		}
	}
	return ""
}

// under reports whether the path is one of the roots or below one.
func under(path string, roots ...string) bool {
	return slices.ContainsFunc(roots, func(r string) bool { return path == r || strings.HasPrefix(path, r+"/") })
}

func TestEveryPackageHasItsComment(t *testing.T) {
	for _, p := range listPackages(t) {
		if len(p.GoFiles) == 0 {
			continue // a package of tests alone
		}
		begin := "Package " + p.Name + " "
		if p.Name == "main" {
			begin = "Command " + filepath.Base(p.ImportPath) + " "
		}
		if !strings.HasPrefix(p.Doc, begin) {
			t.Errorf("%s: its comment begins with %q, want %q: it says what is here, what is not, and which standard is followed",
				p.ImportPath, p.Doc, begin)
		}
	}
}

// clockwork are the calls that read the clock: outside cmd, time is passed in, so that what
// is computed can be computed again.
var clockwork = []string{"Now", "Since", "Until"}

func TestNoClockOutsideCommands(t *testing.T) {
	looked := 0
	for _, p := range listPackages(t) {
		room := strings.TrimPrefix(p.ImportPath, module)
		if under(room, "cmd") || isTestHelper(room) {
			continue
		}
		for _, name := range p.GoFiles {
			looked++
			for _, at := range clockReads(t, filepath.Join(p.Dir, name), nil) {
				t.Errorf("%s reads the clock: outside cmd the time is passed in, or is the database's", at)
			}
		}
	}
	if looked < 50 {
		t.Errorf("only %d files were looked at", looked)
	}
	source := "package x\nimport clock \"time\"\nvar a, b = clock.Now(), clock.Since\nvar c = clock.Second\n"
	if found := clockReads(t, "bad.go", source); len(found) != 2 {
		t.Errorf("the search finds %q in a file that reads the clock twice", found)
	}
}

func clockReads(t *testing.T, path string, source any) (found []string) {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	name := ""
	for _, i := range file.Imports {
		if i.Path.Value == `"time"` {
			name = "time"
			if i.Name != nil {
				name = i.Name.Name
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok && name != "" {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == name && slices.Contains(clockwork, s.Sel.Name) {
				found = append(found, set.Position(s.Pos()).String())
			}
		}
		return true
	})
	return found
}

// topLevel is the whole layout besides names that begin with a dot.
var topLevel = []string{"cmd", "service", "domain", "calc", "migrations", "templates", "testdata",
	"docker-compose.yml", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE"}

func TestTopLevelIsTheAgreedOne(t *testing.T) {
	for _, name := range topLevelNames(t) {
		if !strings.HasPrefix(name, ".") && !slices.Contains(topLevel, name) {
			t.Errorf("%s is not part of the layout: find its room below one of %s", name, strings.Join(topLevel, ", "))
		}
	}
}

// topLevelNames asks git, which knows what is ignored; without git the folder itself.
func topLevelNames(t *testing.T) (names []string) {
	t.Helper()
	c := exec.Command("git", "ls-files")
	c.Dir = moduleRoot
	if out, err := c.Output(); err == nil && len(out) > 0 {
		for _, path := range strings.Fields(string(out)) {
			first, _, _ := strings.Cut(path, "/")
			names = append(names, first)
		}
		slices.Sort(names)
		return slices.Compact(names)
	}
	entries, err := fs.ReadDir(os.DirFS(moduleRoot), ".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}
