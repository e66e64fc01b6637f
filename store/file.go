package store

import (
	"context"
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

// What each connection is told. FULL makes a save wait for the disk, and
// fullfsync makes a Mac wait for the disk's own memory too. busy_timeout waits
// for another program that copies the file. recursive_triggers lets the triggers
// that keep rows see a row that INSERT OR REPLACE would put away.
var (
	writing = []string{"journal_mode(WAL)", "synchronous(FULL)", "fullfsync(ON)", "checkpoint_fullfsync(ON)", "foreign_keys(ON)", "recursive_triggers(ON)", "busy_timeout(5000)"}
	reading = []string{"query_only(ON)", "foreign_keys(ON)", "busy_timeout(5000)"}
	copying = []string{"busy_timeout(5000)"} // VACUUM INTO is refused to query_only
)

// driver is the name under which database/sql knows the database.
var driver = "sqlite"

// How a connection opens the file: still is for a copy that nobody writes and
// that may lie on a disk that cannot be written.
const (
	toWrite = "mode=rwc"
	toRead  = "mode=ro"
	still   = "mode=ro&immutable=1"
)

// connect opens a pool of connections and tries one, so that a fault shows here
// and not at the first save.
func connect(path, mode string, pragmas []string) (*sql.DB, error) {
	query := url.Values{"_pragma": pragmas, "_txlock": {"immediate"}}
	if mode != toWrite {
		query.Set("_txlock", "deferred")
	}
	address := url.URL{Scheme: "file", Path: slashed(path), RawQuery: mode + "&" + query.Encode()}
	db, err := sql.Open(driver, address.String())
	if err == nil {
		err = db.Ping()
	}
	if err == nil {
		return db, nil
	}
	if db != nil {
		db.Close()
	}
	switch kindOf(err) {
	case ErrFull:
		return nil, faultOf(ErrFull, err, "the data file %s cannot be opened, because the disk is full; what was saved before is safe: make room, then try again", path)
	case ErrReadOnly:
		return nil, faultOf(ErrReadOnly, err, "the data file %s may not be written; see to the permissions of the file and its folder, or name another folder with --data", path)
	case ErrDamaged:
		return nil, err
	}
	return nil, fmt.Errorf("the data file %s cannot be opened: %w; see that its folder may be written, or name another with --data", path, err)
}

// slashed turns an absolute path into the path of a file address.
func slashed(path string) string {
	path = filepath.ToSlash(path)
	if path == "" || path[0] != '/' {
		return "/" + path // C:\data on Windows
	}
	return path
}

// modeFor chooses how to read a file that nobody writes.
func modeFor(path string) string {
	if journalLeft(path) {
		return toRead
	}
	return still
}

// largestFullyChecked is up to which size a file is checked in full whenever it
// is opened. A household needs decades for it; full checks of a larger one run
// with the backups.
const largestFullyChecked = 8 << 20

// glance tells from the first bytes of a file, before the database touches it,
// whether it is there and may be ours.
func glance(path string) (existed bool, err error) {
	switch found, err := begins(path); {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("the data file %s cannot be read: %w; see to its permissions and its disk", path, err)
	case found == "" && !journalLeft(path):
		return false, nil // made, and cut short before the first save
	case found != header:
		return true, faultOf(ErrForeign, nil, "%s is not a data file of Henyear, or it is damaged; it has been left as it is%s", path, offer(path))
	}
	return true, nil
}

// inspect looks at a file before anything may write to it: is it there, is it
// ours and not newer than this program, and is it sound? known is the newest
// form that this program has. Unless the program before ended as it should, the
// whole file is checked.
func inspect(path string, known int, cutOff bool) (existed bool, err error) {
	existed, err = glance(path)
	if !existed || err != nil {
		return existed, err
	}
	db, err := connect(path, toRead, reading)
	if kindOf(err) == ErrDamaged {
		return true, damaged(path, err)
	}
	if err != nil {
		return true, err
	}
	defer db.Close()
	ctx := context.Background()
	form, err := formOf(ctx, db, path, known)
	if err != nil {
		return true, err
	}
	full := cutOff || journalLeft(path) || sizeOf(path) <= largestFullyChecked
	if err := checked(ctx, db, path, form, full); err != nil {
		return true, damaged(path, err)
	}
	return true, nil
}

// checked runs every check of a file that does not read each row; full adds the
// indexes, the references and the last row of each table.
func checked(ctx context.Context, db *sql.DB, path string, form int, full bool) error {
	if err := hasItsEnd(ctx, db, path); err != nil {
		return err
	}
	if err := structure(ctx, db, full); err != nil {
		return err
	}
	if full {
		if err := lastRowsThere(ctx, db, form); err != nil {
			return err
		}
	}
	return shapeHolds(ctx, db, form)
}

// hasItsEnd sees that no part of the last page is missing, which the database
// would take for zeros. While a journal is left, the end may still be in it.
func hasItsEnd(ctx context.Context, db *sql.DB, path string) error {
	var pages, size int64
	if err := db.QueryRowContext(ctx, `SELECT page_count, page_size FROM pragma_page_count, pragma_page_size`).Scan(&pages, &size); err != nil {
		return err
	}
	if got := sizeOf(path); got != pages*size && !journalLeft(path) {
		return fmt.Errorf("%w: it has %d bytes and should have %d", ErrDamaged, got, pages*size)
	}
	return nil
}

// formOf tells the form of a file; an error when it is another program's or
// newer than known.
func formOf(ctx context.Context, db *sql.DB, path string, known int) (int, error) {
	var owner, form, tables int
	if err := db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).
		Scan(&owner, &form, &tables); err != nil {
		return 0, damaged(path, err)
	}
	if owner != applicationID && (owner != 0 || tables != 0) {
		return 0, faultOf(ErrForeign, nil, "%s belongs to another program; it has been left as it is: name another folder with --data", path)
	}
	if form > known {
		return 0, faultOf(ErrNewer, nil, "%s was written by a newer Henyear (its form is number %d, this program knows up to %d); it has been left as it is: use the newer program%s", path, form, known, orElse(path))
	}
	return form, nil
}

// damaged says that a file is broken, and which backup would take its place.
func damaged(path string, why error) error {
	return faultOf(ErrDamaged, why, "the data file %s is damaged (%s); it has been left as it is%s", path, withoutKind(why), offer(path))
}

// withoutKind leaves out that the file is damaged where the sentence says so.
func withoutKind(err error) string {
	text := err.Error()
	if prefix := ErrDamaged.Error() + ": "; len(text) > len(prefix) && text[:len(prefix)] == prefix {
		return text[len(prefix):]
	}
	return text
}

// begins returns the first bytes of a file, as many as the header has; "" for
// an empty file. It must not be used on a file that this program has open, since
// closing it again would take away the database's own lock on most systems.
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
func journalLeft(path string) bool { return sizeOf(path+"-wal") > 0 }

// sizeOf is the size of a file in bytes; 0 where there is none.
func sizeOf(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}
