package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
)

const intro = `# What Rillmark is made of

Written by .ci/thirdparty from the module cache; .ci/run compares. The licence is named by its
SPDX identifier, and the files are at the top of the module. What the tests alone use is not in
the program.

| module | version | licence | files | in |
| --- | --- | --- | --- | --- |
`

const outro = `
The program also holds the Go standard library (BSD-3-Clause) and these fonts, each beside its
licence:

| font licence | licence |
| --- | --- |
`

const between = `
Scripts of others, as they were published, each beside its licence:

| script licence | licence |
| --- | --- |
`

const ending = `
axe-core (MPL-2.0) lies in service/web/webtest/axe and is run by tests alone.

PostgreSQL (PostgreSQL License) runs as a program of its own and is not part of this one.
`

func render(shipped, all []module, fonts []string, scripts [][2]string) (string, error) {
	var b strings.Builder
	b.WriteString(intro)
	for _, m := range all {
		kinds, names, err := licenceOf(m)
		if err != nil {
			return "", err
		}
		where := "tests"
		if slices.Contains(shipped, m) {
			where = "program"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", m.Path, m.Version, strings.Join(kinds, " and "), strings.Join(names, ", "), where)
	}
	b.WriteString(outro)
	for _, f := range fonts {
		fmt.Fprintf(&b, "| templates/asset/font/%s | OFL-1.1 |\n", filepath.Base(f))
	}
	b.WriteString(between)
	for _, s := range scripts {
		fmt.Fprintf(&b, "| templates/asset/script/%s | %s |\n", s[0], s[1])
	}
	b.WriteString(ending)
	return b.String(), nil
}
