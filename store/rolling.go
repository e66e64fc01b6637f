package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"henyear/measure"
)

// How often the rolling backups look for something new, and from which size on
// a backup is made only once a day.
const (
	backupEvery    = time.Hour
	largestRenewed = 100 << 20
)

// roomForRecords is what a rolling backup leaves on the disk at least.
const roomForRecords = 16 << 20

// BackUpOfDay brings the backup of a day up to date, in the backups folder
// beside the file, and removes those that have outlived their time. It does
// nothing (made is false) when nothing was saved since the last one. The backup
// that was there is replaced only once the new one has been read back.
func (s *Store) BackUpOfDay(ctx context.Context, day measure.Date) (b Backup, made bool, err error) {
	folder := backupsFolder(s.path)
	b = Backup{Path: filepath.Join(folder, fmt.Sprintf("henyear-%s.db", day)), Day: day}
	needed, err := s.changedSince(ctx, b)
	if err != nil {
		return b, false, noBackup(s.path, folder, err)
	}
	if !needed {
		return b, false, nil
	}
	if err = errors.Join(os.MkdirAll(folder, 0o700), sweep(folder)); err == nil {
		err = leavesRoom(s.path, folder)
	}
	if errors.Is(err, errTooFull) {
		return b, false, err
	}
	if err == nil {
		err = structure(ctx, s.read, true) // of the file itself; the copy gets new indexes
	}
	if err == nil {
		_, err = copyOut(ctx, s.path, toRead, b.Path)
	}
	if err != nil {
		return b, false, noBackup(s.path, folder, err)
	}
	return b, true, prune(s.path)
}

// errTooFull says that a backup would leave too little room.
var errTooFull = errors.New("too little room would be left")

// leavesRoom refuses a backup that would take the room that records need.
func leavesRoom(path, folder string) error {
	left, known := roomLeft(folder)
	if !known || left >= sizeOf(path)+sizeOf(path+"-wal")+roomForRecords {
		return nil
	}
	return faultOf(ErrFull, errTooFull, "no backup of %s was made in %s, because the disk is full but for %.1f MB, which your records need; make room", path, folder, float64(left)/(1<<20))
}

// changedSince reports whether the file holds anything that its newest backup
// of the daily row does not.
func (s *Store) changedSince(ctx context.Context, today Backup) (bool, error) {
	now, err := count(ctx, s.read)
	if err != nil || now.empty() {
		return false, err
	}
	list, err := Backups(s.path)
	if err != nil {
		return false, err
	}
	for _, b := range list {
		if b.Of != "" || b.BeforeForm > 0 {
			continue
		}
		if b.Path == today.Path && sizeOf(b.Path) > largestRenewed {
			return false, nil
		}
		held, err := countIn(ctx, b.Path)
		return err != nil || held != now, nil // one that cannot be read is made again
	}
	return true, nil
}

// countIn reads how much a copy holds.
func countIn(ctx context.Context, path string) (State, error) {
	db, err := connect(path, modeFor(path), reading)
	if err != nil {
		return State{}, err
	}
	defer db.Close()
	return count(ctx, db)
}

// BackUpWhileRunning makes the rolling backups until the context ends: at once,
// and then every hour in which something was saved. It also folds the journal
// into the file each time, so that the file alone holds everything. tell hears
// of each fault once, until it is mended. It returns when the context has ended
// and no backup is under way.
func (s *Store) BackUpWhileRunning(ctx context.Context, now func() time.Time, tell func(error)) {
	tick := time.NewTicker(backupEvery)
	defer tick.Stop()
	said := ""
	for {
		said = s.backUpNow(ctx, now(), said, tell)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

func (s *Store) backUpNow(ctx context.Context, now time.Time, said string, tell func(error)) string {
	_, _, err := s.BackUpOfDay(ctx, measure.DateOf(now))
	if err == nil {
		_, err = s.write.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
		err = s.explain("fold the journal into", err)
	}
	switch {
	case err == nil, errors.Is(err, context.Canceled):
		return ""
	case err.Error() != said:
		tell(err)
	}
	return err.Error()
}
