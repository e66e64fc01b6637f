package store

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"

	"henyear/measure"
)

// How many of the backups that are made by themselves are kept: of the last
// days on which one was made, of the last weeks and months the newest of each,
// and of those made before the file was brought to a new form. Backups made by
// hand are never removed.
const (
	DailyKept     = 7
	WeeklyKept    = 4
	MonthlyKept   = 12
	BeforeKept    = 3
	BackupsFolder = "backups" // inside the data folder
)

// Backup is one whole copy of the data file.
type Backup struct {
	Path string
	Day  measure.Date // in its name
	// Of is the time of day in the name of one made by hand, and BeforeForm the
	// form before which it was made; both are zero for one of the daily row.
	Of         string
	BeforeForm int
}

// Made tells a keeper what a backup is: its name and its day.
func (b Backup) Made() string { return fmt.Sprintf("%s of %s", b.Path, b.Day.Words()) }

var backupName = regexp.MustCompile(`^henyear-(\d{4}-\d\d-\d\d)(?:-(\d{6})(?:-\d+)?|-before-form-(\d+))?\.db$`)

// readBackupName takes apart the name of a file; ok is false when it is not
// that of a backup.
func readBackupName(path string) (b Backup, ok bool) {
	parts := backupName.FindStringSubmatch(filepath.Base(path))
	if parts == nil {
		return Backup{}, false
	}
	day, err := measure.ParseDate(parts[1])
	if err != nil {
		return Backup{}, false
	}
	b = Backup{Path: path, Day: day, Of: parts[2]}
	b.BeforeForm, _ = strconv.Atoi(parts[3])
	return b, true
}

// Backups lists the backups in the backups folder of a data file, the newest
// first. A folder that is not there has none.
func Backups(path string) ([]Backup, error) {
	folder := backupsFolder(path)
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the backups in %s cannot be listed: %w", folder, err)
	}
	var list []Backup
	for _, entry := range entries {
		if b, ok := readBackupName(filepath.Join(folder, entry.Name())); ok && entry.Type().IsRegular() {
			list = append(list, b)
		}
	}
	slices.SortFunc(list, func(a, b Backup) int {
		return cmp.Or(-cmp.Compare(a.Day.String(), b.Day.String()), -changed(a.Path).Compare(changed(b.Path)), cmp.Compare(a.Path, b.Path))
	})
	return list, nil
}

// changed is when a file was last written.
func changed(path string) time.Time {
	info, err := os.Stat(path)
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

func backupsFolder(path string) string { return filepath.Join(filepath.Dir(path), BackupsFolder) }

// NewestGoodBackup reads the backups of a data file through, the newest first,
// and returns the first that is whole and that this program can use; ErrNone
// when there is none.
func NewestGoodBackup(ctx context.Context, path string) (Backup, error) {
	list, err := Backups(path)
	if err != nil {
		return Backup{}, err
	}
	for _, b := range list {
		if _, err := CheckBackup(ctx, b.Path); err == nil {
			return b, nil
		}
		if ctx.Err() != nil {
			return Backup{}, ctx.Err()
		}
	}
	return Backup{}, ErrNone
}

// offer is the end of a sentence about a file that cannot be used.
func offer(path string) string {
	b, err := NewestGoodBackup(context.Background(), path)
	if err != nil {
		return ": there is no backup in " + backupsFolder(path) + "; put one from elsewhere in its place with henyear restore FILE, or move the file away to start afresh"
	}
	return fmt.Sprintf(": the newest good backup is %s; to go back to it: henyear restore %s", b.Made(), quoted(b.Path))
}

// orElse is the same for a file that is whole but too new.
func orElse(path string) string {
	b, err := NewestGoodBackup(context.Background(), path)
	if err != nil {
		return ""
	}
	return fmt.Sprintf(", or go back to the newest backup that this one can read, %s: henyear restore %s", b.Made(), quoted(b.Path))
}

// quoted writes a name so that it can be typed into a terminal.
func quoted(path string) string {
	if regexp.MustCompile(`^[\w./:\\~@%+=-]+$`).MatchString(path) {
		return path
	}
	return `"` + path + `"`
}

// CheckBackup reads a copy of a data file through, every row and every index,
// and returns what it holds. The file must not be in use. It is an error when
// it is damaged, of another program or of a newer Henyear.
func CheckBackup(ctx context.Context, path string) (State, error) {
	first, err := begins(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return State{}, faultOf(fs.ErrNotExist, nil, "there is no backup %s", path)
	case err != nil:
		return State{}, fmt.Errorf("the backup %s cannot be read: %w", path, err)
	case first != header:
		return State{}, faultOf(ErrForeign, nil, "%s is not a backup of Henyear, or it is damaged", path)
	}
	if path, err = filepath.Abs(path); err != nil {
		return State{}, err
	}
	db, err := connect(path, modeFor(path), reading)
	if err != nil {
		return State{}, brokenBackup(path, err)
	}
	defer db.Close()
	if err := ours(ctx, db, path); err != nil {
		return State{}, err
	}
	s, err := count(ctx, db)
	if err == nil {
		err = checked(ctx, db, path, s.Form, true)
	}
	if err == nil {
		s, err = readThrough(ctx, db, s)
	}
	if err != nil {
		return State{}, brokenBackup(path, err)
	}
	return s, nil
}

func ours(ctx context.Context, db queryer, path string) error {
	var owner, form int
	if err := db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id), (SELECT user_version FROM pragma_user_version)`).
		Scan(&owner, &form); err != nil {
		return brokenBackup(path, err)
	}
	switch known := knownForm(); {
	case owner != applicationID || form < 1:
		return faultOf(ErrForeign, nil, "%s is not a backup of Henyear", path)
	case form > known:
		return faultOf(ErrNewer, nil, "the backup %s was written by a newer Henyear (its form is number %d, this program knows up to %d); use the newer program", path, form, known)
	}
	return nil
}

func brokenBackup(path string, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return faultOf(ErrDamaged, err, "the backup %s is damaged (%s); take another one", path, withoutKind(err))
}

// copyOut writes a whole copy of the data file at from, as it is at one moment,
// to a new file to, and proves it by reading it back: the copy must be sound and
// every row in it the same as in the file. from may be in use meanwhile; mode
// says how it is opened.
func copyOut(ctx context.Context, from, mode, to string) (State, error) {
	unfinished := to + ".unfinished"
	if err := os.Remove(unfinished); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return State{}, err
	}
	s, err := writeCopy(ctx, from, mode, unfinished)
	if err == nil {
		err = os.Rename(unfinished, to)
	}
	if err != nil {
		os.Remove(unfinished)
		return State{}, err
	}
	return s, flushFolder(filepath.Dir(to))
}

func writeCopy(ctx context.Context, from, mode, to string) (State, error) {
	source, err := connect(from, mode, copying)
	if err != nil {
		return State{}, err
	}
	defer source.Close()
	before, err := count(ctx, source)
	if err != nil {
		return State{}, err
	}
	if _, err := source.ExecContext(ctx, "VACUUM INTO ?", to); err != nil {
		return State{}, err
	}
	os.Chmod(to, 0o600) // in vain on some disks
	if err := flush(to); err != nil {
		return State{}, err
	}
	copied, err := CheckBackup(ctx, to)
	if err != nil {
		return State{}, err
	}
	// Rows are only added, so what was there when the copy was made is what is
	// there now up to the same numbers.
	read, err := readThrough(ctx, source, copied)
	if err == nil && (read.Digest != copied.Digest || !copied.atLeast(before)) {
		err = fmt.Errorf("%w: the copy is not the same as the file", ErrDamaged)
	}
	return copied, err
}

// flush waits until a file is on the disk, which VACUUM INTO does not.
func flush(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// noBackup says why none could be made.
func noBackup(path, folder string, err error) error {
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case kindOf(err) == ErrFull:
		return faultOf(ErrFull, err, "no backup of %s could be made in %s, because the disk is full; make room, or name a folder on another disk", path, folder)
	case kindOf(err) == ErrDamaged:
		return faultOf(ErrDamaged, err, "no backup of %s could be made, because it is damaged (%s)%s", path, withoutKind(err), offer(path))
	case kindOf(err) == ErrReadOnly:
		return faultOf(ErrReadOnly, err, "no backup of %s could be made, because the folder %s may not be written; name another folder", path, folder)
	}
	return fmt.Errorf("no backup of %s could be made in %s: %w", path, folder, err)
}

// backUpBefore keeps the file as it is before it is brought to a new form.
func (s *Store) backUpBefore(ctx context.Context, form int, now time.Time) error {
	folder := backupsFolder(s.path)
	err := os.MkdirAll(folder, 0o700)
	if err == nil {
		_, err = copyOut(ctx, s.path, toRead, filepath.Join(folder, fmt.Sprintf("henyear-%s-before-form-%d.db", measure.DateOf(now), form)))
	}
	if err != nil {
		return fmt.Errorf("%w; the file has been left in its old form", noBackup(s.path, folder, err))
	}
	return prune(s.path)
}

// BackUpInto makes a backup by hand of the data file at path in a folder, which
// is made where there is none; "" is the backups folder beside the file. The
// program may be running. It never overwrites a file.
func BackUpInto(ctx context.Context, path, folder string, now time.Time) (Backup, State, error) {
	path, err := absolute(path)
	if err != nil {
		return Backup{}, State{}, err
	}
	if folder == "" {
		folder = backupsFolder(path)
	}
	if err := mayBeCopied(path); err != nil {
		return Backup{}, State{}, err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		if kindOf(err) != nil {
			return Backup{}, State{}, noBackup(path, folder, err)
		}
		return Backup{}, State{}, faultOf(ErrOccupied, err, "no backup of %s could be made: %s is no folder and none can be made there (%s); name another", path, folder, reason(err))
	}
	name, err := freeName(filepath.Join(folder, "henyear-"+now.Format("2006-01-02-150405")))
	if err != nil {
		return Backup{}, State{}, err
	}
	state, err := copyOut(ctx, path, liveMode(path), name)
	if err != nil {
		return Backup{}, State{}, noBackup(path, folder, err)
	}
	b, _ := readBackupName(name)
	return b, state, nil
}

// liveMode chooses how to read a file that another program may be writing. Where
// there is no journal and none can be made, nobody writes.
func liveMode(path string) string {
	if !exists(path+"-wal") && !folderWritable(filepath.Dir(path)) {
		return still
	}
	return toRead
}

func folderWritable(folder string) bool {
	f, err := os.CreateTemp(folder, ".henyear-*")
	if err != nil {
		return false
	}
	f.Close()
	os.Remove(f.Name())
	return true
}

// mayBeCopied sees that there is a file and that it is whole enough to copy.
func mayBeCopied(path string) error {
	if err := restoreWasWhole(path); err != nil {
		return err
	}
	existed, err := glance(path)
	if err == nil && !existed {
		err = faultOf(ErrNone, nil, "there is no data file %s; name its folder with --data", path)
	}
	return err
}

// unfinishedName is what a backup made by itself leaves when the program is
// killed meanwhile, with a journal perhaps.
var unfinishedName = regexp.MustCompile(`^henyear-\d{4}-\d\d-\d\d(-before-form-\d+)?\.db\.unfinished`)

// sweep removes what backups left that were cut off. Only the program that has
// the lock makes them.
func sweep(folder string) error {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, entry := range entries {
		if unfinishedName.MatchString(entry.Name()) {
			err = errors.Join(err, os.Remove(filepath.Join(folder, entry.Name())))
		}
	}
	return err
}

// prune removes the backups that are not to be kept any longer.
func prune(path string) error {
	list, err := Backups(path)
	if err != nil {
		return err
	}
	for _, b := range outlived(list) {
		if err := os.Remove(b.Path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("the old backup %s cannot be removed: %w", b.Path, err)
		}
	}
	return nil
}

// outlived picks out of a list, the newest first, the backups that need not be
// kept.
func outlived(list []Backup) []Backup {
	days, weeks, months := map[measure.Date]bool{}, map[measure.Week]bool{}, map[string]bool{}
	before := 0
	var old []Backup
	for _, b := range list {
		switch {
		case b.Of != "":
		case b.BeforeForm > 0:
			if before++; before > BeforeKept {
				old = append(old, b)
			}
		default:
			daily := fresh(days, b.Day, DailyKept)
			weekly := fresh(weeks, measure.WeekOf(b.Day), WeeklyKept)
			monthly := fresh(months, b.Day.String()[:7], MonthlyKept)
			if !daily && !weekly && !monthly {
				old = append(old, b)
			}
		}
	}
	return old
}

// fresh reports whether a day, week or month is one of the first so many, and
// has not been seen before.
func fresh[K comparable](seen map[K]bool, key K, most int) bool {
	if seen[key] || len(seen) >= most {
		return false
	}
	seen[key] = true
	return true
}
