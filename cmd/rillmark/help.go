package main

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"text/tabwriter"
)

func helpCommand() command {
	return command{
		words: "help", operand: "[COMMAND | config]", most: 2, does: "explain a command, or the settings",
		run: func(_ context.Context, p *program, c *call) error {
			topic := strings.Join(c.flags.Args(), " ")
			switch topic {
			case "":
				p.help()
			case "config":
				p.helpConfig()
			default:
				about, rest, found := lookUpCommand(c.flags.Args())
				if !found || len(rest) > 0 {
					return usage(unknownCommand.At("", topic))
				}
				p.helpFor(about)
			}
			return nil
		},
	}
}

func (p *program) help() {
	fmt.Fprint(p.out, "rillmark keeps the work of verifying installed liquid flow meters in place.\n\n")
	w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	for _, c := range commands() {
		fmt.Fprintf(w, "  rillmark %s\t%s\n", strings.TrimSpace(c.words+" "+c.operand), c.does)
	}
	w.Flush()
	fmt.Fprint(p.out, "\n“rillmark help COMMAND” lists a command's flags, “rillmark help config” every setting.\n")
}

func (p *program) helpFor(c command) {
	fmt.Fprintf(p.out, "rillmark %s: %s.\n", strings.TrimSpace(c.words+" "+c.operand), c.does)
	if c.more != "" {
		fmt.Fprintf(p.out, "%s\n", c.more)
	}
	of := newCall(c)
	w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	first := true
	of.flags.VisitAll(func(f *flag.Flag) {
		if first {
			fmt.Fprintln(w)
			first = false
		}
		fmt.Fprintf(w, "  --%s\t%s%s\n", f.Name, f.Usage, defaultOf(f))
	})
	w.Flush()
}

func defaultOf(f *flag.Flag) string {
	value := f.DefValue
	for _, s := range settings {
		if s.name == f.Name && s.def != "" {
			value = s.def
		}
	}
	if value == "" || value == "false" {
		return ""
	}
	return " (" + value + ")"
}

func (p *program) helpConfig() {
	fmt.Fprint(p.out, "A flag goes before an environment variable, that before the file named by --config or\n"+
		"RILLMARK_CONFIG (TOML, one line for each setting), that before the default. A command\n"+
		"reads only the settings that its help lists. Secrets are read from files alone.\n\n")
	w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "flag\tenvironment\tfile\tdefault\tmeaning")
	for _, s := range settings {
		fmt.Fprintf(w, "--%s\t%s\t%s\t%s\t%s\n", s.name, s.variable(), s.key(), s.def, s.what)
	}
	w.Flush()
	fmt.Fprint(p.out, "\nThe demo's --database-url is read from its flag alone, so that a demo never meets a\n"+
		"database that somebody's environment happens to name.\n")
}
