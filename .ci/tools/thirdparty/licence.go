package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// marks are words by which a licence is known, with its SPDX name. Longer texts come
// first, for some hold the words of a shorter one.
var marks = []struct {
	name  string
	words []string
}{
	{"OFL-1.1", []string{"sil open font license version 1.1"}},
	{"Apache-2.0", []string{"apache license", "version 2.0, january 2004"}},
	{"MPL-2.0", []string{"mozilla public license version 2.0"}},
	{"CC0-1.0", []string{"cc0 1.0 universal"}},
	{"Unlicense", []string{"this is free and unencumbered software released into the public domain"}},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms", "neither the name"}},
	{"BSD-2-Clause", []string{"redistribution and use in source and binary forms"}},
	{"ISC", []string{"permission to use, copy, modify, and/or distribute this software for any purpose"}},
	{"MIT", []string{"permission is hereby granted, free of charge"}},
}

// kindOf names the licence of a text, "" when it is not known. Line breaks and marks of
// emphasis do not count.
func kindOf(text string) string {
	text = strings.Join(strings.Fields(strings.ToLower(strings.NewReplacer("*", "", "#", "", ">", "").Replace(text))), " ")
	for _, m := range marks {
		all := true
		for _, w := range m.words {
			all = all && strings.Contains(text, w)
		}
		if all {
			return m.name
		}
	}
	return ""
}

// licenceOf names the licences of a module and their files. A NOTICE is listed, not judged.
func licenceOf(m module) (kinds, names []string, err error) {
	names, err = licenceFiles(m.Dir)
	if err != nil {
		return nil, nil, err
	}
	for _, name := range names {
		if strings.HasPrefix(strings.ToUpper(name), "NOTICE") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(m.Dir, name))
		if err != nil {
			return nil, nil, err
		}
		kind := kindOf(string(text))
		if kind == "" {
			return nil, nil, fmt.Errorf("%s %s: the licence in %s is not known; read it and add its words", m.Path, m.Version, name)
		}
		if !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	if len(kinds) == 0 {
		return nil, nil, fmt.Errorf("%s %s has no licence at its top", m.Path, m.Version)
	}
	return kinds, names, nil
}
