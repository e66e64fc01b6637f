package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"henyear/daybook"
	"henyear/measure"
)

// A scene is played by a program of its own that sees a small disk, made of
// memory, in the place of a folder. Permissions would not do, since tests may
// run as a user to whom they do not apply.
func playScene(scene, folder string) {
	err := unix.Mount("", "/", "", unix.MS_REC|unix.MS_PRIVATE, "")
	if err == nil {
		err = unix.Mount("none", folder, "tmpfs", 0, "size=1m")
	}
	if err != nil {
		fmt.Println("no disk:", err)
		os.Exit(4)
	}
	var failed []string
	scenes[scene](folder, func(format string, args ...any) { failed = append(failed, fmt.Sprintf(format, args...)) })
	if len(failed) > 0 {
		fmt.Println(strings.Join(failed, "\n"))
		os.Exit(1)
	}
	os.Exit(0)
}

var scenes = map[string]func(folder string, fail func(string, ...any)){
	"full": fullDisk, "old": fullDiskAndOldFile, "restore": fullDiskAndRestore, "read-only": readOnlyDisk,
}

// runScene starts the program that plays a scene.
func runScene(t *testing.T, scene string) {
	t.Helper()
	program := exec.Command(os.Args[0])
	program.Env = append(os.Environ(), "HENYEAR_TEST_SCENE="+scene, "HENYEAR_TEST_FOLDER="+t.TempDir())
	program.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if os.Getuid() != 0 {
		program.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		program.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		program.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	said, err := program.CombinedOutput()
	if program.ProcessState == nil || program.ProcessState.ExitCode() == 4 {
		t.Skipf("this system lets no test have a disk of its own: %v %s", err, said)
	}
	if err != nil {
		t.Errorf("%v\n%s", err, said)
	}
}

func TestFullDiskRefusesRecordsInClearWordsAndLosesNone(t *testing.T) { runScene(t, "full") }

func TestOldFileOnAFullDiskIsLeftInItsOldForm(t *testing.T) { runScene(t, "old") }

func TestRestoreOntoAFullDiskLeavesTheFileAsItIs(t *testing.T) { runScene(t, "restore") }

func TestFolderThatCannotBeWrittenIsSaidAndItsFileCanStillBeBackedUpAndExported(t *testing.T) {
	runScene(t, "read-only")
}

// fullUp leaves no room on a disk.
func fullUp(folder string) (makeRoom func()) {
	name := filepath.Join(folder, "hay")
	f, err := os.Create(name)
	for block := bytes.Repeat([]byte("hay "), 1024); err == nil; {
		_, err = f.Write(block)
	}
	for err = nil; err == nil; {
		_, err = f.Write([]byte("h"))
	}
	f.Close()
	return func() { os.Remove(name) }
}

func wants(fail func(string, ...any), what string, err, kind error, words ...string) {
	if !errors.Is(err, kind) || !IsKeepers(err) {
		fail("%s: %v", what, err)
		return
	}
	for _, word := range words {
		if !strings.Contains(err.Error(), word) {
			fail("%s: %q is missing in: %v", what, word, err)
		}
	}
}

// fillUntilRefused adds records until one is refused and returns how many were
// acknowledged.
func fillUntilRefused(s *Store, from int) (int, error) {
	for n := from; ; n++ {
		e := record(n)
		e.Payload = fmt.Appendf(nil, `{"note":"%s"}`, strings.Repeat("eggs ", n%300))
		if _, err := s.AddEvents(context.Background(), []daybook.Event{e}, newYear); err != nil {
			return n, err
		}
	}
}

func fullDisk(folder string, fail func(string, ...any)) {
	ctx := context.Background()
	spare := filepath.Join(folder, "spare")
	os.WriteFile(spare, make([]byte, 300<<10), 0o600)
	path := filepath.Join(folder, "data", FileName)
	s, err := Open(path)
	if err != nil {
		fail("%v", err)
		return
	}
	kept, err := fillUntilRefused(s, 0)
	wants(fail, "a record", err, ErrFull, "disk is full", "make room", "saved before is safe")
	fullUp(folder)
	_, err = s.SaveHolding(ctx, someID, bytes.Repeat([]byte("a = 1\n"), 2000), newYear)
	wants(fail, "a holding", err, ErrFull, "disk is full")
	_, err = s.AddPhoto(ctx, append(somePNG(1), make([]byte, 50000)...), newYear)
	wants(fail, "a photo", err, ErrFull, "disk is full")
	_, _, err = s.BackUpOfDay(ctx, measure.DateOf(newYear))
	wants(fail, "a backup", err, ErrFull, "no backup", "disk is full")
	if list, _ := Backups(path); len(list) > 0 {
		fail("a backup that is not whole was left: %v", list)
	}
	_, err = s.Export(ctx, filepath.Join(folder, "out"), nil)
	wants(fail, "an export", err, ErrFull, "nothing was exported", "disk is full")
	if exists(filepath.Join(folder, "out")) {
		fail("an export that is not whole was left")
	}
	if got, err := s.EventsSince(ctx, 0, 0); err != nil || len(got) != kept {
		fail("reading on a full disk: %d records of %d, %v", len(got), kept, err)
	}
	// The program ends and starts again on the full disk.
	s.Close()
	if s, err = Open(path); err != nil {
		wants(fail, "opening", err, ErrFull, "disk is full", "make room")
	} else if got, err := s.EventsSince(ctx, 0, 0); err != nil || len(got) != kept {
		fail("reopened on a full disk: %d records of %d, %v", len(got), kept, err)
	}
	if s != nil {
		s.Close()
	}
	os.Remove(spare)
	if s, err = Open(path); err != nil {
		fail("with room again: %v", err)
		return
	}
	defer s.Close()
	if _, err := s.AddEvents(ctx, []daybook.Event{record(kept)}, newYear); err != nil {
		fail("with room again: %v", err)
	}
	if got, err := s.EventsSince(ctx, 0, 0); err != nil || len(got) != kept+1 {
		fail("with room again: %d records of %d, %v", len(got), kept+1, err)
	}
	if err := structure(ctx, s.read, true); err != nil {
		fail("the file has suffered: %v", err)
	}
}

func fullDiskAndOldFile(folder string, fail func(string, ...any)) {
	content, err := os.ReadFile(releasedFile(1))
	if err != nil {
		fail("%v", err)
		return
	}
	path := filepath.Join(folder, FileName)
	os.WriteFile(path, content, 0o600)
	os.WriteFile(lockName(path), nil, 0o600)
	spare := filepath.Join(folder, "spare")
	for room := 0; room < 160; room += 8 { // too little for one step after another
		os.WriteFile(spare, make([]byte, room<<10), 0o600)
		makeRoom := fullUp(folder)
		os.Remove(spare)
		s, err := Open(path)
		if err == nil {
			s.Close()
			makeRoom()
			if room == 0 {
				fail("there was room enough")
			}
			return
		}
		wants(fail, fmt.Sprint(room, " KiB"), err, ErrFull, "disk is full")
		if after, _ := os.ReadFile(path); len(after) == 0 || after[63] != 1 {
			fail("%d KiB: the file is no longer in its old form", room)
		}
		makeRoom()
		os.RemoveAll(filepath.Join(folder, BackupsFolder))
	}
	fail("it never found room enough")
}

func fullDiskAndRestore(folder string, fail func(string, ...any)) {
	ctx := context.Background()
	path := filepath.Join(folder, FileName)
	s, err := Open(path)
	if err != nil {
		fail("%v", err)
		return
	}
	var batch []daybook.Event
	for n := range 200 {
		batch = append(batch, record(n))
	}
	if _, err := s.AddEvents(ctx, batch, newYear); err != nil {
		fail("%v", err)
		return
	}
	elsewhere, err := os.MkdirTemp("/tmp", "henyear-test-")
	if err != nil {
		fail("%v", err)
		return
	}
	defer os.RemoveAll(elsewhere)
	b, _, err := BackUpInto(ctx, path, elsewhere, newYear)
	if err != nil {
		fail("%v", err)
		return
	}
	s.Close()
	before, _ := os.ReadFile(path)
	defer fullUp(folder)()
	_, _, err = Restore(ctx, path, b.Path, newYear)
	wants(fail, "restoring", err, ErrFull, "disk is full", "make room")
	if after, _ := os.ReadFile(path); !bytes.Equal(after, before) {
		fail("the file was changed")
	}
	if left, _ := filepath.Glob(filepath.Join(folder, "*fresh*")); len(left) > 0 || exists(markName(path)) {
		fail("left behind: %v", left)
	}
}

func readOnlyDisk(folder string, fail func(string, ...any)) {
	ctx := context.Background()
	path := filepath.Join(folder, FileName)
	s, err := Open(path)
	if err != nil {
		fail("%v", err)
		return
	}
	if _, err := s.AddEvents(ctx, []daybook.Event{record(1)}, newYear); err != nil {
		fail("%v", err)
	}
	s.Close()
	elsewhere, err := os.MkdirTemp("/tmp", "henyear-test-")
	if err != nil {
		fail("%v", err)
		return
	}
	defer os.RemoveAll(elsewhere)
	if err := unix.Mount("none", folder, "tmpfs", unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		fail("%v", err)
		return
	}
	_, err = Open(path)
	wants(fail, "opening", err, ErrReadOnly, folder, "may not be written", "--data")
	_, err = Open(filepath.Join(folder, "new", FileName))
	wants(fail, "a new folder", err, ErrReadOnly, "cannot be made", "--data")
	_, _, err = BackUpInto(ctx, path, "", newYear)
	wants(fail, "a backup beside it", err, ErrReadOnly, "may not be written")
	b, state, err := BackUpInto(ctx, path, elsewhere, newYear)
	if err != nil || state.Events != 1 {
		fail("a backup elsewhere: %v %+v", err, state)
		return
	}
	_, _, err = Restore(ctx, path, b.Path, newYear)
	wants(fail, "restoring", err, ErrReadOnly, "may not be written")
	if s, err = OpenReading(path); err != nil {
		fail("reading: %v", err)
		return
	}
	defer s.Close()
	if _, err := s.Export(ctx, filepath.Join(elsewhere, "out"), nil); err != nil {
		fail("exporting: %v", err)
	}
	_, err = s.Export(ctx, filepath.Join(folder, "out"), nil)
	wants(fail, "exporting there", err, ErrReadOnly, "may not be written")
}
