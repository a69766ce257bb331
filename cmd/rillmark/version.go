package main

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
)

func versionCommand() command {
	return command{
		words: "version", does: "print the program's version",
		run: func(_ context.Context, p *program, _ *call) error {
			latest, err := latestMigration()
			if err != nil {
				return err
			}
			fmt.Fprintf(p.out, "rillmark %s\n%s %s/%s\nmigration %d\n", programVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH, latest)
			return nil
		},
	}
}

// programVersion is the module's version with the revision it was built from, as far as
// the build recorded them.
func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown)"
	}
	version := info.Main.Version
	if version == "" {
		version = "(devel)"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			version += " " + s.Value
		}
		if s.Key == "vcs.modified" && s.Value == "true" {
			version += " changed"
		}
	}
	return version
}
