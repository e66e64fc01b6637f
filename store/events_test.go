package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"henyear/daybook"
	"henyear/measure"
)

func numberedID(what string, n int) daybook.ID {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d", what, n))
	return daybook.ID(sum[:16])
}

// record makes the n-th record of a made-up household. Its kind is one that no
// program knows, since the store does not look into records.
func record(n int) daybook.Event {
	return daybook.Event{
		ID: numberedID("record", n), Kind: "from_a_test", Version: 1,
		HappenedOn: measure.Date{Year: 2027, Month: time.January, Day: 1}.AddDays(n % 300),
		RecordedAt: newYear.AddDate(1, 0, n%300).Add(time.Duration(n) * time.Millisecond),
		Device:     numberedID("device", n%3), Author: "Ann",
		Payload: fmt.Appendf(nil, `{"eggs":%d,"note":"all well, <b>no</b> & so on – été"}`, n),
	}
}

func mustAdd(t testing.TB, s *Store, events ...daybook.Event) []Outcome {
	t.Helper()
	outcomes, err := s.AddEvents(t.Context(), events, newYear)
	if err != nil {
		t.Fatal(err)
	}
	return outcomes
}

func statuses(outcomes []Outcome) string {
	var list []string
	for _, o := range outcomes {
		list = append(list, string(o.Status))
	}
	return strings.Join(list, " ")
}

func TestRecordIsThereAsItWasWrittenAfterReopening(t *testing.T) {
	path := newFile(t)
	s := mustOpen(t, path)
	first, second := record(1), record(2)
	second.Supersedes = []daybook.ID{numberedID("record", 99), first.ID} // one of them is not here yet
	second.Author = ""
	mustAdd(t, s, first, second)
	s.Close()

	s = mustOpen(t, path)
	got, err := s.EventsSince(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []Received{{1, newYear, first}, {2, newYear, second}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	byID, err := s.EventByID(t.Context(), second.ID)
	if d := cmp.Diff(want[1], byID); err != nil || d != "" {
		t.Error(err, d)
	}
	if _, err := s.EventByID(t.Context(), numberedID("record", 99)); !errors.Is(err, ErrNone) {
		t.Errorf("got %v", err)
	}
}

func TestRecordSentTwiceIsKeptOnceHoweverItsJSONIsWritten(t *testing.T) {
	s := mustOpen(t, newFile(t))
	e := record(1)
	again := e
	again.Payload = json.RawMessage(" {\"note\": \"all well, \\u003cb\\u003eno</b> & so on – été\",\n\"eggs\":1} ")
	if got := statuses(mustAdd(t, s, e, e, again)); got != "new here here" {
		t.Errorf("in one batch: %s", got)
	}
	outcomes := mustAdd(t, s, record(2), e)
	if got := statuses(outcomes); got != "new here" || outcomes[1].Sequence != 1 || outcomes[1].Why != nil {
		t.Errorf("in a later batch: %+v", outcomes)
	}
	if last, err := s.LastSequence(t.Context()); last != 2 || err != nil {
		t.Errorf("%d records, %v", last, err)
	}
}

func TestOtherRecordUnderTheSameIdentifierIsKeptBesideAndDoesNotCount(t *testing.T) {
	s := mustOpen(t, newFile(t))
	first := record(1)
	mustAdd(t, s, first)
	for what, change := range map[string]func(*daybook.Event){
		"content": func(e *daybook.Event) { e.Payload = json.RawMessage(`{"eggs":1000}`) },
		"day":     func(e *daybook.Event) { e.HappenedOn = e.HappenedOn.AddDays(-1) },
		"time":    func(e *daybook.Event) { e.RecordedAt = e.RecordedAt.Add(time.Nanosecond) },
		"author":  func(e *daybook.Event) { e.Author = "Ben" },
		"device":  func(e *daybook.Event) { e.Device[3]++ },
		"kind":    func(e *daybook.Event) { e.Kind = "other_kind" },
		"version": func(e *daybook.Event) { e.Version++ },
		"meaning": func(e *daybook.Event) { e.Supersedes = []daybook.ID{numberedID("record", 7)} },
	} {
		other := first
		change(&other)
		before, _ := s.Conflicts(t.Context())
		outcomes := mustAdd(t, s, other, other)
		if got := statuses(outcomes); got != "conflicting conflicting" || outcomes[0].Why == nil || !strings.Contains(outcomes[0].Why.Error(), "write a correction") {
			t.Errorf("other %s: %+v", what, outcomes)
		}
		mustAdd(t, s, other) // and once more in another batch
		after, err := s.Conflicts(t.Context())
		if err != nil || len(after) != len(before)+1 {
			t.Fatalf("other %s: %d conflicts after %d, %v", what, len(after), len(before), err)
		}
		if d := cmp.Diff(other, after[len(before)].Event); d != "" {
			t.Errorf("other %s is not as it was sent: %s", what, d)
		}
	}
	got, err := s.EventsSince(t.Context(), 0, 0)
	if d := cmp.Diff([]Received{{1, newYear, first}}, got); err != nil || d != "" {
		t.Error("the first record is not the one that counts: ", err, d)
	}
	if got := statuses(mustAdd(t, s, first)); got != "here" {
		t.Errorf("the first one sent again: %s", got)
	}
}

func TestConflictIsSettledByACorrectionThatComesAfterIt(t *testing.T) {
	s := mustOpen(t, newFile(t))
	first, other := record(1), record(1)
	other.Author = "Ben"
	early, late := record(2), record(3)
	early.Supersedes, late.Supersedes = []daybook.ID{first.ID}, []daybook.ID{first.ID}
	settled := func() bool {
		list, err := s.Conflicts(t.Context())
		if err != nil || len(list) != 1 {
			t.Fatal(list, err)
		}
		return list[0].Settled
	}
	mustAdd(t, s, first, early, other)
	if settled() {
		t.Error("a correction that came before counts")
	}
	mustAdd(t, s, late)
	if !settled() {
		t.Error("a correction that came after does not count")
	}
}

func TestOneBadRecordIsRefusedWithoutTheOthers(t *testing.T) {
	s := mustOpen(t, newFile(t))
	bad := record(2)
	bad.ID = daybook.ID{}
	deep := record(3)
	deep.Payload = fmt.Appendf(nil, `{"a":%s1%s}`, strings.Repeat("[", 5000), strings.Repeat("]", 5000))
	future := record(5)
	future.HappenedOn = measure.DateOf(future.RecordedAt).AddDays(40)
	outcomes := mustAdd(t, s, record(1), bad, deep, future, record(4))
	if got := statuses(outcomes); got != "new refused refused refused new" {
		t.Errorf("%+v", outcomes)
	}
	for _, o := range outcomes[1:4] {
		if o.Why == nil || o.Sequence != 0 {
			t.Errorf("%+v", o)
		}
	}
	if last, err := s.LastSequence(t.Context()); last != 2 || err != nil {
		t.Errorf("%d records, %v: a refused one has left a gap", last, err)
	}
}

func TestBatchThatCannotBeKeptWholeIsNotKeptAtAll(t *testing.T) {
	s := mustOpen(t, newFile(t))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.AddEvents(ctx, []daybook.Event{record(1)}, newYear); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if _, err := s.AddEvents(t.Context(), make([]daybook.Event, MostEventsAtOnce+1), newYear); err == nil {
		t.Error("an endless batch was taken")
	}
	if last, err := s.LastSequence(t.Context()); last != 0 || err != nil {
		t.Errorf("%d records, %v", last, err)
	}
	if got := statuses(mustAdd(t, s)); got != "" {
		t.Errorf("empty batch: %s", got)
	}
}

func TestRecordsAreReadByArrivalByDayAndFromTheEnd(t *testing.T) {
	s := mustOpen(t, newFile(t))
	var all []daybook.Event
	for _, n := range rand.New(rand.NewPCG(1, 2)).Perm(60) {
		e := record(n)
		e.HappenedOn = measure.Date{Year: 2027, Month: time.March, Day: 1}.AddDays(n % 5)
		e.RecordedAt = newYear.AddDate(1, 0, n%3)
		all = append(all, e)
		mustAdd(t, s, e)
	}
	since, err := s.EventsSince(t.Context(), 20, 15)
	if err != nil || len(since) != 15 || since[0].Sequence != 21 || since[14].Event.ID != all[34].ID {
		t.Errorf("since: %v, %v", since, err)
	}
	latest, err := s.LatestEvents(t.Context(), 3)
	if err != nil || len(latest) != 3 || latest[0].Event.ID != all[59].ID || latest[2].Sequence != 58 {
		t.Errorf("latest: %v, %v", latest, err)
	}

	second, third := measure.Date{Year: 2027, Month: time.March, Day: 2}, measure.Date{Year: 2027, Month: time.March, Day: 3}
	between, err := s.EventsBetween(t.Context(), second, third)
	if err != nil {
		t.Fatal(err)
	}
	var want []daybook.Event
	for _, e := range all {
		if !e.HappenedOn.Before(second) && !third.Before(e.HappenedOn) {
			want = append(want, e)
		}
	}
	daybook.SortEvents(want)
	var got []daybook.Event
	for _, r := range between {
		got = append(got, r.Event)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error("between two days, in the order of the daybook: ", d)
	}
}

func TestRecordsPhotosAndSealsCannotBeChangedDeletedOrReplacedEvenBySQL(t *testing.T) {
	s := mustOpen(t, newFile(t))
	first, other := record(1), record(1)
	first.Supersedes = []daybook.ID{numberedID("record", 5)}
	other.Author = "Ben"
	mustAdd(t, s, first, other)
	rev := mustSave(t, s, "a = 1\n")
	if _, err := s.SavePlan(t.Context(), Plan{HoldingRevision: rev, JSON: []byte("{}"), AcceptedAt: newYear}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddPhoto(t.Context(), somePNG(1), newYear); err != nil {
		t.Fatal(err)
	}
	// Another program's connection has none of our settings.
	db, err := sql.Open("sqlite", s.path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, table := range []string{"holdings", "plans", "events", "supersedes", "conflicts", "photos", "seals"} {
		var columns string
		if err := db.QueryRow(`SELECT group_concat(name) FROM pragma_table_info(?)`, table).Scan(&columns); err != nil {
			t.Fatal(err)
		}
		one, _, _ := strings.Cut(columns, ",")
		for _, statement := range []string{
			fmt.Sprintf("UPDATE %s SET %s = %s", table, one, one),
			fmt.Sprintf("DELETE FROM %s", table),
			fmt.Sprintf("INSERT OR REPLACE INTO %s (%s) SELECT %s FROM %s", table, columns, columns, table),
		} {
			for name, connection := range map[string]*sql.DB{"ours": s.write, "another": db} {
				if _, err := connection.Exec(statement); err == nil || !strings.Contains(err.Error(), "never") {
					t.Errorf("%s connection, %s: %v", name, statement, err)
				}
			}
		}
	}
	if _, err := db.Exec(`INSERT OR REPLACE INTO events SELECT 77, id, kind, version, happened_on, recorded_at, device, 'Eve', payload, received_at, seal FROM events`); err == nil {
		t.Error("a record was replaced under another number")
	}
}

func somePNG(n int) []byte {
	picture := image.NewRGBA(image.Rect(0, 0, 8, 8))
	picture.Set(n%8, n/8%8, color.RGBA{200, uint8(n), uint8(n >> 8), 255})
	var b bytes.Buffer
	png.Encode(&b, picture)
	return b.Bytes()
}

func someJPEG(n int) []byte {
	picture := image.NewGray(image.Rect(0, 0, 64, 64))
	for i := range picture.Pix {
		picture.Pix[i] = uint8(i * n)
	}
	var b bytes.Buffer
	jpeg.Encode(&b, picture, nil)
	return b.Bytes()
}

func TestPhotoIsKeptOnceAndComesBackAsItWas(t *testing.T) {
	s := mustOpen(t, newFile(t))
	content := someJPEG(3)
	for range 2 {
		id, err := s.AddPhoto(t.Context(), content, newYear)
		if err != nil || id != PhotoIDOf(content) {
			t.Fatal(id, err)
		}
	}
	got, err := s.Photo(t.Context(), PhotoIDOf(content))
	want := Photo{1, PhotoIDOf(content), "image/jpeg", newYear, content}
	if d := cmp.Diff(want, got); err != nil || d != "" {
		t.Error(err, d)
	}
	if _, err := s.Photo(t.Context(), PhotoIDOf([]byte("x"))); !errors.Is(err, ErrNone) {
		t.Errorf("got %v", err)
	}
	if _, err := s.Photo(t.Context(), "../../etc/passwd"); err == nil {
		t.Error("that is no name of a photo")
	}
}

func TestOnlyPhotosOfTheFourFormsAndOfFairSizeAreKept(t *testing.T) {
	s := mustOpen(t, newFile(t))
	webp := []byte("RIFF\x24\x00\x00\x00WEBPVP8 \x18\x00\x00\x00")
	heic := []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")
	for want, content := range map[string][]byte{
		"image/png": somePNG(1), "image/jpeg": someJPEG(1), "image/webp": webp, "image/heic": heic,
	} {
		id, err := s.AddPhoto(t.Context(), content, newYear)
		if err != nil {
			t.Errorf("%s: %v", want, err)
		}
		if p, err := s.Photo(t.Context(), id); err != nil || p.Type != want {
			t.Errorf("%s: %v, %v", want, p.Type, err)
		}
	}
	for name, content := range map[string][]byte{
		"nothing": nil, "text": []byte("eggs"), "a page": []byte("<!doctype html><script>"), "a drawing": []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`),
		"a film": []byte("\x00\x00\x00\x18ftypisom\x00\x00\x00\x00isommp41"), "a sound": []byte("RIFF\x24\x00\x00\x00WAVEfmt 0000"), "a moving picture": []byte("GIF89a"),
		"too large": append(somePNG(1), make([]byte, LargestPhoto)...),
	} {
		if _, err := s.AddPhoto(t.Context(), content, newYear); !errors.Is(err, ErrPhoto) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
