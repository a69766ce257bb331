package main

import "testing"

func TestKindOf(t *testing.T) {
	for text, want := range map[string]string{
		"The MIT License\n\nPermission is hereby granted,\nfree of charge, to any person": "MIT",
		"Redistribution and use in source and binary\nforms ... * Neither the name of":    "BSD-3-Clause",
		"Redistribution and use in source and binary forms, with or without":              "BSD-2-Clause",
		"Apache License\n   Version 2.0, January 2004":                                    "Apache-2.0",
		"Mozilla Public License Version 2.0":                                              "MPL-2.0",
		"This Font Software is licensed under the SIL OPEN FONT LICENSE Version 1.1":      "OFL-1.1",
		"All rights reserved.": "",
		"":                     "",
	} {
		if got := kindOf(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
