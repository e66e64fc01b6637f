package store

import (
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
)

// applicationID marks the file as ours in bytes 68 to 71 of its header ("HNYR").
const applicationID = 0x484e5952

// header opens every SQLite 3 database file (SQLite's own file format).
const header = "SQLite format 3\x00"

// What each connection is told. FULL makes a save wait for the disk; busy_timeout
// lets a second copy of the program wait its turn instead of failing.
var (
	writing = []string{"journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(ON)", "busy_timeout(5000)"}
	reading = []string{"query_only(ON)", "foreign_keys(ON)", "busy_timeout(5000)"}
	looking = []string{"query_only(ON)", "busy_timeout(5000)"}
)

// connect opens a pool of connections and tries one, so that a fault shows here
// and not at the first save.
func connect(path, mode string, pragmas []string) (*sql.DB, error) {
	query := url.Values{"_pragma": pragmas, "_txlock": {"immediate"}}
	address := url.URL{Scheme: "file", Path: slashed(path), RawQuery: mode + "&" + query.Encode()}
	db, err := sql.Open("sqlite", address.String())
	if err == nil {
		err = db.Ping()
	}
	if err != nil {
		if db != nil {
			db.Close()
		}
		return nil, fmt.Errorf("the data file %s cannot be opened: %w; see that its folder may be written, or name another with --data", path, err)
	}
	return db, nil
}

// slashed turns an absolute path into the path of a file address.
func slashed(path string) string {
	path = filepath.ToSlash(path)
	if path == "" || path[0] != '/' {
		return "/" + path // C:\data on Windows
	}
	return path
}

// inspect looks at a file before anything may write to it: is it there, is it a
// sound database, is it ours, and is it not newer than this program. known is
// the newest schema this program has.
func inspect(path string, known int) (existed bool, err error) {
	switch found, err := begins(path); {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("the data file %s cannot be read: %w", path, err)
	case found == "" && !journalLeft(path):
		return false, nil // made, and cut short before the first save
	case found != header:
		return false, fmt.Errorf("%s is not a data file of Henyear, or it is damaged; it has been left as it is: move it away to start afresh, or put a backup in its place", path)
	}
	db, err := connect(path, "mode=ro", looking)
	if err != nil {
		return false, damaged(path, err)
	}
	defer db.Close()
	return true, examine(db, path, known)
}

func examine(db *sql.DB, path string, known int) error {
	var owner, version, tables int
	if err := db.QueryRow(`SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).
		Scan(&owner, &version, &tables); err != nil {
		return damaged(path, err)
	}
	if owner != applicationID && (owner != 0 || tables != 0) {
		return fmt.Errorf("%s belongs to another program; it has been left as it is: name another folder with --data", path)
	}
	if version > known {
		return fmt.Errorf("%s was written by a newer Henyear (its form is number %d, this program knows up to %d); it has been left as it is: use the newer program", path, version, known)
	}
	return sound(db, path, "quick_check")
}

// sound runs one of SQLite's own checks over a whole file.
func sound(db *sql.DB, path, check string) error {
	var verdict string
	if err := db.QueryRow("PRAGMA " + check + "(1)").Scan(&verdict); err != nil {
		return damaged(path, err)
	}
	if verdict != "ok" {
		return damaged(path, errors.New(verdict))
	}
	return nil
}

func damaged(path string, why error) error {
	return fmt.Errorf("the data file %s is damaged (%w); it has been left as it is: put a backup in its place, or move it away to start afresh", path, why)
}

// begins returns the first bytes of a file, as many as the header has; "" for
// an empty file.
func begins(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	first := make([]byte, len(header))
	n, err := io.ReadFull(f, first)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "", err
	}
	return string(first[:n]), nil
}

// journalLeft reports whether saves are waiting in the journal beside the file.
func journalLeft(path string) bool {
	info, err := os.Stat(path + "-wal")
	return err == nil && info.Size() > 0
}
