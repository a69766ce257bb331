package sentence_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	texttemplate "text/template"
	"text/template/parse"

	"github.com/BurntSushi/toml"
	"github.com/nicksnyder/go-i18n/v2/i18n"

	"rillmark/service/sentence"
	"rillmark/templates"
)

// definition is one fault.Define call found in the program's source.
type definition struct {
	at   string
	args []string
}

// unsaid are arguments that a page uses and no sentence should: ids, which lead to a thing
// and tell a reader nothing.
var unsaid = map[string][]string{
	"evaluation.person-not-authorised": {"person"},
}

func union(lists ...[]string) map[string]bool {
	set := map[string]bool{}
	for _, list := range lists {
		for _, item := range list {
			set[item] = true
		}
	}
	return set
}

// TestEveryCodeHasItsSentence reads the program's source rather than the registry, so
// that a package nobody imports here, package main included, is held to it as well.
func TestEveryCodeHasItsSentence(t *testing.T) {
	defined := definitions(t)
	if len(defined) == 0 {
		t.Fatal("no code found in the source: the search is broken")
	}
	said := messages(t, sentence.CodeFiles(templates.Files, "en"))
	for name, d := range defined {
		m, found := said[name]
		if !found {
			t.Errorf("%s: code %q has no sentence in templates/text", d.at, name)
			continue
		}
		if used := sorted(union(fields(t, name, m.Other), unsaid[name])); !slices.Equal(used, d.args) {
			t.Errorf("%q: the sentence uses %v, the code defines %v", name, used, d.args)
		}
		if m.One != "" && !subset(fields(t, name, m.One), d.args) {
			t.Errorf("%q: the singular uses an argument the code does not define", name)
		}
	}
	for name := range said {
		if _, found := defined[name]; !found {
			t.Errorf("the sentence of %q belongs to no code; words of pages belong into a file page.*.toml", name)
		}
	}
}

func TestSentencesAreSentences(t *testing.T) {
	for name, m := range messages(t, sentence.CodeFiles(templates.Files, "en")) {
		for _, text := range []string{m.Other, m.One} {
			if text == "" && m.Other != "" {
				continue
			}
			switch {
			case !strings.HasSuffix(text, "."):
				t.Errorf("%q does not end like a sentence: %s", name, text)
			case strings.Contains(text, "  "), strings.TrimSpace(text) != text:
				t.Errorf("%q has stray blanks: %q", name, text)
			case strings.ContainsRune("abcdefghijklmnopqrstuvwxyz", rune(text[0])):
				t.Errorf("%q does not begin like a sentence: %s", name, text)
			}
		}
	}
}

func messages(t *testing.T, files []string) map[string]*i18n.Message {
	t.Helper()
	byID := map[string]*i18n.Message{}
	for _, file := range files {
		data, err := fs.ReadFile(templates.Files, file)
		if err != nil {
			t.Fatal(err)
		}
		parsed, err := i18n.ParseMessageFileBytes(data, file, map[string]i18n.UnmarshalFunc{"toml": toml.Unmarshal})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range parsed.Messages {
			byID[m.ID] = m
		}
	}
	return byID
}

// fields returns the arguments a catalogue entry uses, sorted, each once.
func fields(t *testing.T, name, text string) []string {
	t.Helper()
	tree, err := texttemplate.New(name).Parse(text)
	if err != nil {
		t.Errorf("%q: %v", name, err)
		return nil
	}
	set := map[string]bool{}
	var walk func(parse.Node)
	walk = func(n parse.Node) {
		switch n := n.(type) {
		case *parse.ListNode:
			if n != nil {
				for _, child := range n.Nodes {
					walk(child)
				}
			}
		case *parse.ActionNode:
			walk(n.Pipe)
		case *parse.IfNode:
			walk(n.Pipe)
			walk(n.List)
			walk(n.ElseList)
		case *parse.PipeNode:
			for _, c := range n.Cmds {
				for _, arg := range c.Args {
					walk(arg)
				}
			}
		case *parse.FieldNode:
			set[n.Ident[0]] = true
		}
	}
	if tree.Tree != nil {
		walk(tree.Root)
	}
	return sorted(set)
}

func definitions(t *testing.T) map[string]definition {
	t.Helper()
	root := filepath.Join("..", "..")
	found := map[string]definition{}
	for _, top := range []string{"calc", "domain", "service", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			source, err := os.ReadFile(path)
			if err != nil || !strings.Contains(string(source), "fault.Define(") {
				return err
			}
			read(t, path, source, found)
			return nil
		})
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
	return found
}

func read(t *testing.T, path string, source []byte, found map[string]definition) {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		call, is := n.(*ast.CallExpr)
		if !is || !selects(call.Fun, "Define") {
			return true
		}
		at := set.Position(call.Pos()).String()
		name, ok := literal(call.Args[0])
		if !ok {
			t.Errorf("%s: the code's name is not written out, so no test can hold it to a sentence", at)
			return true
		}
		if before, twice := found[name]; twice {
			t.Errorf("code %q is defined at %s and at %s", name, before.at, at)
		}
		found[name] = definition{at, arguments(t, at, call.Args[1:])}
		return true
	})
}

func arguments(t *testing.T, at string, exprs []ast.Expr) []string {
	t.Helper()
	set := map[string]bool{}
	for _, e := range exprs {
		call, is := e.(*ast.CallExpr)
		if !is || !(selects(call.Fun, "T") || selects(call.Fun, "N") || selects(call.Fun, "C")) {
			t.Errorf("%s: an argument is not fault.T, N or C written out", at)
			continue
		}
		if name, ok := literal(call.Args[0]); ok {
			set[name] = true
		}
	}
	return sorted(set)
}

func selects(fun ast.Expr, name string) bool {
	sel, is := fun.(*ast.SelectorExpr)
	if !is || sel.Sel.Name != name {
		return false
	}
	pkg, is := sel.X.(*ast.Ident)
	return is && pkg.Name == "fault"
}

func literal(e ast.Expr) (string, bool) {
	lit, is := e.(*ast.BasicLit)
	if !is || lit.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(lit.Value)
	return text, err == nil
}

func sorted(set map[string]bool) []string {
	names := make([]string, 0, len(set))
	for name := range set {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

func subset(some, all []string) bool {
	for _, s := range some {
		if !slices.Contains(all, s) {
			return false
		}
	}
	return true
}
