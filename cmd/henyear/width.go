package main

import (
	"io"
	"os"
	"strconv"
)

// Text keeps within these widths: narrower breaks the tables, wider is hard to
// read. A file or another program gets the usual one, so that what is written
// there does not depend on the window.
const (
	narrowest  = 60
	usualWidth = 80
	widest     = 130
)

// widthOf is how many letters a line of text may have where it is written.
func widthOf(w io.Writer) int {
	columns, _ := strconv.Atoi(os.Getenv("COLUMNS"))
	if f, ok := w.(*os.File); ok && columns == 0 && isTerminal(f) {
		columns = columnsOf(f)
	}
	if columns == 0 {
		return usualWidth
	}
	return min(widest, max(narrowest, columns))
}
