package main

import (
	"context"
	"flag"
	"io"
	"strings"
)

// command is one subcommand.
type command struct {
	words    string   // what is typed, of one or two words
	operand  string   // what may follow the flags, for the help
	most     int      // how many operands there may be
	does     string   // one line
	more     string   // further lines of its help
	settings []string // the settings it reads
	own      func(*flag.FlagSet)
	run      func(context.Context, *program, *call) error
}

// commands in the order of the help. A function, for help reads the list too.
func commands() []command {
	return []command{
		demoCommand(), serveCommand(), databaseInitCommand(),
		migrateUpCommand(), migrateDownCommand(), migrateVersionCommand(),
		personAddCommand(), auditVerifyCommand(), recheckCommand(), calcAlignCommand(), calcCommand(), healthCommand(), versionCommand(), helpCommand(),
	}
}

// lookUpCommand finds the subcommand that the arguments begin with and returns the rest.
func lookUpCommand(args []string) (command, []string, bool) {
	for _, c := range commands() {
		words := strings.Fields(c.words)
		if len(args) >= len(words) && strings.Join(args[:len(words)], " ") == c.words {
			return c, args[len(words):], true
		}
	}
	return command{}, nil, false
}

// call is one run of a subcommand: its flags as given, its operands, and the settings.
type call struct {
	flags  *flag.FlagSet
	known  map[string]*string // flags of settings
	config Config
}

func newCall(of command) *call {
	c := &call{flags: flag.NewFlagSet(of.words, flag.ContinueOnError), known: map[string]*string{}}
	c.flags.SetOutput(io.Discard) // the flag package's own words are replaced by ours
	c.declare(of)
	return c
}

// declare gives the flag set the command's settings and its own flags.
func (c *call) declare(of command) {
	for _, s := range settings {
		if s.usedBy(of) {
			c.known[s.name] = c.flags.String(s.name, "", s.what)
		}
	}
	if len(of.settings) > 0 {
		c.flags.String(configFlag, "", "file with settings, see “rillmark help config”")
	}
	if of.own != nil {
		of.own(c.flags)
	}
}

// given reports whether the flag stood on the command line, even with its default.
func (c *call) given(name string) (given bool) {
	c.flags.Visit(func(f *flag.Flag) { given = given || f.Name == name })
	return given
}

// text is a command's own flag.
func (c *call) text(name string) string { return c.flags.Lookup(name).Value.String() }

// number is a command's own flag; the flag package has seen to its form.
func (c *call) number(name string) int {
	n, _ := c.flags.Lookup(name).Value.(flag.Getter).Get().(int)
	return n
}

// yes is a command's own switch.
func (c *call) yes(name string) bool { return c.text(name) == "true" }
