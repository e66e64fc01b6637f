package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"henyear/holding"
	"henyear/measure"
)

// largestInput bounds what is read as a holding file: a hundred times the
// longest that anyone would write.
const largestInput = 1 << 20

// readInput returns the bytes of a holding file, or of standard input for "-",
// and the name by which messages call it.
func readInput(t terminal, file string) (text []byte, name string, err error) {
	if file == "-" {
		text, err = readAtMost(t.in)
		return text, "standard input", describe("standard input", err)
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, file, describe(file, err)
	}
	defer f.Close()
	text, err = readAtMost(f)
	return text, file, describe(file, err)
}

var errTooLong = errors.New("too long")

func readAtMost(r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, largestInput+1))
	if err == nil && len(text) > largestInput {
		err = errTooLong
	}
	return text, err
}

// describe says why an input could not be read, in words that tell what to do.
func describe(name string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return badInput{fmt.Errorf("there is no file %s; give the name of a holding file, or make one with: henyear example valley > holding.toml", name)}
	case errors.Is(err, fs.ErrPermission):
		return badInput{fmt.Errorf("%s may not be read; see to its permissions", name)}
	case errors.Is(err, errTooLong):
		return badInput{fmt.Errorf("%s is longer than 1 MB, which no holding file is", name)}
	}
	return badInput{fmt.Errorf("%s cannot be read: %w", name, err)}
}

// readHolding reads and checks a holding file. Without a date of its own, and
// none given, the birds on hand are those of today.
func readHolding(t terminal, file string, asOf measure.Date) (*holding.Holding, []holding.Note, error) {
	text, name, err := readInput(t, file)
	if err != nil {
		return nil, nil, err
	}
	return parseHolding(text, name, asOf)
}

func parseHolding(text []byte, name string, asOf measure.Date) (*holding.Holding, []holding.Note, error) {
	day := asOf
	if day.IsZero() {
		day = today()
	}
	h, notes, err := holding.ReadOn(text, name, day)
	if err != nil {
		return nil, nil, badInput{err}
	}
	if h.AsOf.IsZero() || !asOf.IsZero() {
		h.AsOf = day
	}
	return h, notes, nil
}
