package store

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/measure"
)

// TestMain lets the test program act as a keeper's program of its own: one that
// is killed while it saves, or one whose disk is small or cannot be written.
func TestMain(m *testing.M) {
	if path := os.Getenv("HENYEAR_TEST_SAVE_UNTIL_KILLED"); path != "" {
		next, _ := strconv.Atoi(os.Getenv("HENYEAR_TEST_NEXT"))
		saveUntilKilled(path, next)
	}
	if scene := os.Getenv("HENYEAR_TEST_SCENE"); scene != "" {
		playScene(scene, os.Getenv("HENYEAR_TEST_FOLDER"))
	}
	code := m.Run()
	if manyFolder != "" {
		os.RemoveAll(manyFolder)
	}
	os.Exit(code)
}

func someBatch(phone, n int) []daybook.Event {
	var batch []daybook.Event
	for i := range 1 + n%4 {
		batch = append(batch, record(1_000_000*(phone+1)+10*n+i))
	}
	return batch
}

// saveUntilKilled saves records in order from next on, in batches, and between
// them descriptions and photos, and says so once each is reported saved. It
// first sends the last records once more, as a phone does that has heard no
// answer. A backup is always under way.
func saveUntilKilled(path string, next int) {
	s, err := Open(path)
	if err != nil {
		giveUp(err)
	}
	fmt.Println("opened")
	go func() {
		for day := measure.DateOf(newYear); ; day = day.AddDays(1) {
			if _, _, err := s.BackUpOfDay(context.Background(), day); err != nil {
				giveUp(err)
			}
		}
	}()
	from := max(0, next-7)
	for round := 0; ; round++ {
		var batch []daybook.Event
		for n := range 1 + round%5 {
			batch = append(batch, record(from+n))
		}
		outcomes, err := s.AddEvents(context.Background(), batch, newYear)
		if err != nil {
			giveUp(err)
		}
		for _, o := range outcomes {
			if o.Status != New && o.Status != Here {
				giveUp(fmt.Errorf("%+v", o))
			}
		}
		from += len(batch)
		fmt.Println("records", from)
		if round%5 == 4 {
			if _, err := s.SaveHolding(context.Background(), someID, fmt.Appendf(nil, "a = %d\n", from), newYear); err != nil {
				giveUp(err)
			}
			fmt.Println("holding", from)
		}
		if round%7 == 6 {
			if _, err := s.AddPhoto(context.Background(), somePhoto(from), newYear); err != nil {
				giveUp(err)
			}
			fmt.Println("photo", from)
		}
	}
}

func somePhoto(n int) []byte {
	return append([]byte("\xff\xd8\xff\xe0"), strings.Repeat(fmt.Sprint("a hen ", n), 1000)...)
}

func giveUp(err error) {
	fmt.Println("failed:", err)
	os.Exit(3)
}

// acknowledged is what killed programs said was saved.
type acknowledged struct {
	records  int // so many from the first on
	holding  int
	photos   []int
	verified int64 // records already read back
	opened   int   // programs that came so far as to open the file
	saving   int   // programs that were killed after they had saved something
}

// kill runs one program and kills it after a while, which is counted from its
// start or, with open, from when it says that it has opened the file.
func (a *acknowledged) kill(t *testing.T, path string, after time.Duration, open bool) {
	t.Helper()
	program := exec.Command(os.Args[0])
	program.Env = append(os.Environ(), "HENYEAR_TEST_SAVE_UNTIL_KILLED="+path, fmt.Sprint("HENYEAR_TEST_NEXT=", a.records))
	out, err := program.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := program.Start(); err != nil {
		t.Fatal(err)
	}
	kill := func() { program.Process.Kill() }
	if !open {
		time.AfterFunc(after, kill)
	}
	saved := false
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		word, number, _ := strings.Cut(lines.Text(), " ")
		n, _ := strconv.Atoi(number)
		switch word {
		case "opened":
			a.opened++
			if open {
				time.AfterFunc(after, kill)
			}
		case "records":
			a.records, saved = max(a.records, n), true
		case "holding":
			a.holding = n
		case "photo":
			a.photos = append(a.photos, n)
		default:
			t.Errorf("a program could not go on: %s", lines.Text())
		}
	}
	program.Wait()
	if saved {
		a.saving++
	}
}

// verify opens the file and looks for everything that was acknowledged, each
// once.
func (a *acknowledged) verify(t *testing.T, path string, all bool) {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal("the file does not open: ", err)
	}
	defer s.Close()
	if all {
		a.verified = 0
	}
	got, err := s.EventsSince(t.Context(), a.verified, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range got {
		n := int(a.verified) + i
		if want := record(n); r.Sequence != int64(n+1) || r.Event.ID != want.ID || string(r.Event.Payload) != string(want.Payload) {
			t.Fatalf("record %d in the file is %+v: one is lost, doubled or in the wrong place", n, r)
		}
	}
	a.verified += int64(len(got))
	if a.verified < int64(a.records) {
		t.Errorf("%d records are there, %d were acknowledged", a.verified, a.records)
	}
	if a.holding > 0 {
		h, err := s.CurrentHolding(t.Context())
		var kept int
		if fmt.Sscanf(string(h.TOML), "a = %d", &kept); err != nil || kept < a.holding {
			t.Errorf("the description is number %d, %d was acknowledged (%v)", kept, a.holding, err)
		}
	}
	for _, n := range a.photos {
		if _, err := s.Photo(t.Context(), PhotoIDOf(somePhoto(n))); err != nil {
			t.Errorf("photo %d: %v", n, err)
		}
	}
	if !all {
		a.photos = nil
	}
}

// TestNothingAcknowledgedIsLostOrDoubledWhenTheProgramIsKilled kills programs at
// random moments. HENYEAR_KILLS says how many; make torture kills a thousand.
func TestNothingAcknowledgedIsLostOrDoubledWhenTheProgramIsKilled(t *testing.T) {
	kills := 15
	if text := os.Getenv("HENYEAR_KILLS"); text != "" {
		var err error
		if kills, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	path := newFile(t)
	chance := rand.New(rand.NewPCG(uint64(kills), 1))
	var a acknowledged
	for n := range kills {
		// One in four while it starts, the others at work.
		starting := n%8 < 2
		after := time.Duration(chance.IntN(60_000)) * time.Microsecond
		a.kill(t, path, after, !starting)
		if n%2 == 0 { // every other time the next program finds the file as it was left
			a.verify(t, path, false)
		}
		if t.Failed() {
			t.Fatalf("after %d kills", n+1)
		}
	}
	a.verify(t, path, true)
	s := mustOpen(t, path)
	if err := structure(t.Context(), s.read, true); err != nil {
		t.Error(err)
	}
	backups, err := Backups(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range backups {
		if _, err := CheckBackup(t.Context(), b.Path); err != nil {
			t.Errorf("a backup made meanwhile is not whole: %v", err)
		}
	}
	if a.saving == 0 {
		t.Error("no program came so far as to save anything")
	}
	t.Logf("%d programs killed, %d of them after opening, %d after saving; %d records acknowledged, %d kept, 0 lost, 0 doubled; %d backups whole",
		kills, a.opened, a.saving, a.records, a.verified, len(backups))
}

// TestFileOfAnOlderFormSurvivesKillsWhileItIsBroughtUpToDate kills programs in
// the first moments, when they bring the file to the newest form.
func TestFileOfAnOlderFormSurvivesKillsWhileItIsBroughtUpToDate(t *testing.T) {
	content, err := os.ReadFile(releasedFile(1))
	if err != nil {
		t.Fatal(err)
	}
	chance := rand.New(rand.NewPCG(3, 3))
	for range 6 {
		path := mustPlace(t, content)
		var a acknowledged
		a.kill(t, path, 5*time.Millisecond+time.Duration(chance.IntN(30_000))*time.Microsecond, false)
		s := mustOpen(t, path)
		for i := range 3 {
			h, err := s.HoldingOf(t.Context(), Revision(i+1))
			if err != nil || string(h.TOML) != string(releasedHolding(i)) {
				t.Errorf("holding %d: %q, %v", i+1, h.TOML, err)
			}
		}
		if last, err := s.LastSequence(t.Context()); err != nil || last < int64(a.records) {
			t.Errorf("%d records of %d, %v", last, a.records, err)
		}
	}
}

func mustPlace(t *testing.T, content []byte) string {
	t.Helper()
	path := t.TempDir() + "/" + FileName
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// phone is a phone with records that nobody has acknowledged yet.
type phone struct {
	chance *rand.Rand
	outbox []daybook.Event
}

// TestFiftyPhonesOverABadConnectionHaveEachRecordKeptOnce lets phones send their
// records in any order; requests get lost, answers get lost, and some requests
// arrive twice. Two others read along and must see every record once.
func TestFiftyPhonesOverABadConnectionHaveEachRecordKeptOnce(t *testing.T) {
	const phones, each = 50, 40
	path := newFile(t)
	s := mustOpen(t, path)
	want := map[daybook.ID]string{}
	var sending sync.WaitGroup
	for p := range phones {
		carried := phone{chance: rand.New(rand.NewPCG(5, uint64(p)))}
		for n := range each {
			e := record(1000*p + n)
			if n%9 == 8 { // corrects one that may arrive later
				e.Supersedes = []daybook.ID{record(1000*p + n - 1).ID}
			}
			want[e.ID] = string(e.Payload)
			carried.outbox = append(carried.outbox, e)
		}
		sending.Go(func() { carried.sendAll(t, s) })
	}
	done := make(chan struct{})
	var reading sync.WaitGroup
	for range 2 {
		reading.Go(func() { readAlong(t, s, done, phones*each) })
	}
	sending.Wait()
	close(done)
	reading.Wait()

	got, err := s.EventsSince(t.Context(), 0, 0)
	if err != nil || len(got) != phones*each {
		t.Fatalf("%d records, %v", len(got), err)
	}
	for _, r := range got {
		if want[r.Event.ID] != string(r.Event.Payload) {
			t.Errorf("%+v", r)
		}
		delete(want, r.Event.ID)
	}
	if conflicts, err := s.Conflicts(t.Context()); len(want) != 0 || len(conflicts) != 0 || err != nil {
		t.Errorf("%d records are missing, %d conflict, %v", len(want), len(conflicts), err)
	}
}

func (p *phone) sendAll(t *testing.T, s *Store) {
	for len(p.outbox) > 0 {
		p.chance.Shuffle(len(p.outbox), func(i, j int) { p.outbox[i], p.outbox[j] = p.outbox[j], p.outbox[i] })
		batch := p.outbox[:min(len(p.outbox), 1+p.chance.IntN(8))]
		if p.chance.IntN(4) == 0 {
			continue // the request is lost
		}
		var outcomes []Outcome
		for range 1 + p.chance.IntN(2) {
			ctx, cancel := context.WithCancel(context.Background())
			if p.chance.IntN(8) == 0 {
				cancel() // the connection breaks while the request is served
			}
			var err error
			outcomes, err = s.AddEvents(ctx, batch, newYear)
			cancel()
			if err != nil && !errors.Is(err, context.Canceled) {
				t.Error(err)
				return
			}
		}
		if outcomes == nil || p.chance.IntN(4) == 0 {
			continue // the answer is lost
		}
		for _, o := range outcomes {
			if o.Status != New && o.Status != Here {
				t.Errorf("%+v", o)
			}
		}
		p.outbox = p.outbox[len(batch):]
	}
}

// readAlong reads what is new again and again, as an open page does.
func readAlong(t *testing.T, s *Store, done chan struct{}, all int) {
	seen := map[daybook.ID]bool{}
	last := int64(0)
	for ended := false; ; {
		news, err := s.EventsSince(context.Background(), last, 100)
		if err != nil {
			t.Error(err)
			return
		}
		for _, r := range news {
			if r.Sequence != last+1 || seen[r.Event.ID] {
				t.Errorf("record %d after %d, seen before: %v", r.Sequence, last, seen[r.Event.ID])
			}
			seen[r.Event.ID] = true
			last = r.Sequence
		}
		if len(news) > 0 {
			continue
		}
		if ended {
			break
		}
		select {
		case <-done:
			ended = true
		case <-time.After(time.Millisecond):
		}
	}
	if len(seen) != all {
		t.Errorf("a page that was open all the time has seen %d of %d records", len(seen), all)
	}
}

// TestTornJournalLosesOnlyTheSaveThatWasUnderWay does to the journal what a
// power cut does: its end is missing, or was never written and is zeros or
// whatever lay there before. Every save before that is there, and the file
// opens.
func TestTornJournalLosesOnlyTheSaveThatWasUnderWay(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	var sizes []int64 // of the journal when the n-th record was acknowledged
	for n := range 12 {
		mustAdd(t, s, record(n))
		sizes = append(sizes, sizeOf(path+"-wal"))
	}
	main, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	journal, err := os.ReadFile(path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	chance := rand.New(rand.NewPCG(11, 11))
	junk := make([]byte, len(journal))
	for i := range junk {
		junk[i] = byte(chance.Uint32())
	}
	start := int(sizes[0])
	for round := range 60 {
		cut := start + chance.IntN(len(journal)-start+1)
		torn := append([]byte(nil), journal[:cut]...)
		switch round % 3 {
		case 1:
			torn = append(torn, make([]byte, len(journal)-cut)...)
		case 2:
			torn = append(torn, junk[cut:]...)
		}
		folder := t.TempDir()
		if err := os.WriteFile(folder+"/"+FileName, main, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(folder+"/"+FileName+"-wal", torn, 0o600); err != nil {
			t.Fatal(err)
		}
		want := int64(0)
		for _, size := range sizes {
			if size <= int64(cut) {
				want++
			}
		}
		after := mustOpen(t, folder+"/"+FileName)
		got, err := after.State(t.Context())
		if err != nil || got.Events < want || got.Events > want+1 { // the last may be whole although it was cut into
			t.Errorf("journal torn at %d of %d: %d records, %d were acknowledged before, %v", cut, len(journal), got.Events, want, err)
		}
		after.Close()
	}
}
