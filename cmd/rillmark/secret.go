package main

import (
	"errors"
	"io"
	"io/fs"
	"net/url"
	"os"
	"strings"
)

// secretLimit is far beyond any password, and keeps a wrongly named file out of memory.
const secretLimit = 4096

// readSecret reads the file that the setting names: one line, its end not part of it.
// "-" is the standard input.
func (p *program) readSecret(setting, path string) (string, error) {
	text, err := p.readShort(path)
	secret := strings.TrimSuffix(strings.TrimSuffix(text, "\n"), "\r")
	switch {
	case err != nil:
		return "", usage(secretUnreadable.At("", "--"+setting, path, plainCause(err)))
	case secret == "":
		return "", usage(secretUnreadable.At("", "--"+setting, path, "it is empty"))
	case len(secret) > secretLimit || strings.ContainsAny(secret, "\r\n\x00"):
		return "", usage(secretUnreadable.At("", "--"+setting, path, "it holds more than one line of text"))
	}
	return secret, nil
}

func (p *program) readShort(path string) (string, error) {
	source := p.in
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			return "", err
		}
		defer file.Close()
		source = file
	}
	b, err := io.ReadAll(io.LimitReader(source, secretLimit+3))
	return string(b), err
}

// address is a database's address with the password from the file put in.
func (p *program) address(setting, address, fileSetting, file string) (string, error) {
	if address == "" {
		return "", usage(settingMissing.At("", "--"+setting, variableOf(setting)))
	}
	u, err := url.Parse(address)
	if err != nil || !isDatabaseURL(address) {
		return "", usage(settingMalformed.At("", "--"+setting, hideSecret(address), databaseForm))
	}
	if _, set := u.User.Password(); set || u.Query().Has("password") {
		return "", usage(passwordShown.At("", "--"+setting, "--"+fileSetting))
	}
	u.Scheme = "postgres"
	if file == "" {
		return u.String(), nil
	}
	secret, err := p.readSecret(fileSetting, file)
	if err != nil {
		return "", err
	}
	u.User = url.UserPassword(u.User.Username(), secret)
	return u.String(), nil
}

// databaseName is the last part of a database's address.
func databaseName(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return strings.TrimPrefix(u.Path, "/")
}

// hideSecret takes a password out of what is shown; a text that is no address may hold one
// anywhere after the first colon.
func hideSecret(text string) string {
	u, err := url.Parse(text)
	if err != nil {
		before, _, _ := strings.Cut(text, ":")
		return before + ":…"
	}
	if u.Query().Has("password") {
		u.RawQuery = "…"
	}
	return u.Redacted()
}

// plainCause is the machine's reason without the path, which the sentence names.
func plainCause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
