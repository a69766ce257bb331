package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// module is one module and where the cache has it.
type module struct {
	Path, Version, Dir string
}

// modules returns the modules of everything that the packages import, sorted by path. The
// system is fixed, so that the list is the same wherever it is made.
func modules(root string, packages ...string) ([]module, error) {
	c := exec.Command("go", append([]string{"list", "-deps", "-json=Module"}, packages...)...)
	c.Dir = root
	c.Env = append(os.Environ(), "GOOS=linux", "GOARCH=amd64")
	var stderr bytes.Buffer
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w\n%s", err, stderr.Bytes())
	}
	found := map[string]module{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Module *struct {
				module
				Main bool
			}
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module != nil && !p.Module.Main {
			found[p.Module.Path] = p.Module.module
		}
	}
	all := make([]module, 0, len(found))
	for _, m := range found {
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	return all, nil
}

// licenceFiles are the texts at the top of a folder that say what may be done with it.
func licenceFiles(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		upper := strings.ToUpper(e.Name())
		for _, begin := range []string{"LICENSE", "LICENCE", "COPYING", "UNLICENSE", "NOTICE"} {
			if !e.IsDir() && strings.HasPrefix(upper, begin) && !strings.HasSuffix(upper, ".GO") {
				names = append(names, e.Name())
				break
			}
		}
	}
	return names, nil
}

// scriptLicences are the licence texts beside embedded scripts of others, with their names.
func scriptLicences(root string) (found [][2]string, err error) {
	paths, err := filepath.Glob(filepath.Join(root, "templates", "asset", "script", "*.LICENSE.txt"))
	if err != nil {
		return nil, err
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		kind := kindOf(string(text))
		if kind == "" {
			return nil, fmt.Errorf("the licence in %s is not known; read it and add its words", path)
		}
		found = append(found, [2]string{filepath.Base(path), kind})
	}
	return found, nil
}

// fontLicences are the licence texts beside the embedded fonts.
func fontLicences(root string) ([]string, error) {
	paths, err := filepath.Glob(filepath.Join(root, "templates", "asset", "font", "*.OFL.txt"))
	if err != nil {
		return nil, err
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		if kind := kindOf(string(text)); kind != "OFL-1.1" {
			return nil, fmt.Errorf("%s is not the SIL Open Font License but %q", path, kind)
		}
	}
	return paths, nil
}
