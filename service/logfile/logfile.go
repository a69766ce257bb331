// Package logfile reads the files that flow loggers write: bytes of CSV, TSV or
// semicolon text in UTF-8, UTF-16 or Latin-1, and XLSX, become a proposal of how to read
// them (a Mapping, with what is not certain as questions), and under a mapping the rows
// kept, in SI units and UTC, and those dropped, with the reason of each.
//
// Not here: storing, and the comparison of two channels (calc/trace). Nothing is guessed:
// what can mean two things is a question, and a question that the mapping does not answer
// refuses the file. CSV is as in RFC 4180 with the liberties loggers take.
package logfile

// The limits of a file. Each has its sentence.
const (
	MaxLine    = 64 << 10 // bytes of one line
	MaxColumns = 256
	MaxBytes   = 4 << 30  // of text
	MaxSheet   = 96 << 20 // of an XLSX, unpacked
)

// headBytes of a file's beginning, and as many of its end, are looked at for a proposal.
const headBytes = 256 << 10
