// Command thirdparty lists the modules that the program and its tests are made of, with
// the licence of each, as a Markdown page on standard output. It reads the modules from
// the module cache and knows a licence by its own words. A licence that it does not know
// is an error: somebody has to read it.
//
//	thirdparty FOLDER-OF-THE-MODULE
package main

import (
	"fmt"
	"os"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: thirdparty FOLDER-OF-THE-MODULE")
		os.Exit(2)
	}
	page, err := write(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, "thirdparty:", err)
		os.Exit(1)
	}
	fmt.Print(page)
}

func write(root string) (string, error) {
	shipped, err := modules(root, "./cmd/...")
	if err != nil {
		return "", err
	}
	all, err := modules(root, "-test", "./...")
	if err != nil {
		return "", err
	}
	fonts, err := fontLicences(root)
	if err != nil {
		return "", err
	}
	scripts, err := scriptLicences(root)
	if err != nil {
		return "", err
	}
	return render(shipped, all, fonts, scripts)
}
