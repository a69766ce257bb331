package main

import (
	"context"
	"strings"

	"rillmark/cmd/rillmark/calcjson"
)

func calcCommand() command {
	return command{
		words: "calc", operand: "KIND", most: 1, does: "calculate: JSON from the standard input, JSON to the standard output",
		more: "KIND is one of " + strings.Join(calcjson.Kinds(), ", ") + ".\n" +
			"An object gives an object; a list of objects gives a list of the same length. Input that is\n" +
			"refused ends the program with 2 and an object “error” that names field, code and reason.",
		run: func(_ context.Context, p *program, c *call) error {
			if c.flags.NArg() == 0 {
				return usage(operandMissing.At("", "calc", "KIND"))
			}
			return exitCode(calcjson.Run(c.flags.Arg(0), p.in, p.out, sayer()))
		},
	}
}
