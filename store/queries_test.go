package store

import (
	"context"
	"database/sql"
	sqldriver "database/sql/driver"
	"slices"
	"strings"
	"sync"
	"testing"

	"henyear/daybook"
	"henyear/measure"
)

// Speed is tested by counting the statements that reach the database, since
// times depend on the machine. counting stands between database/sql and the
// database and notes each.
type counting struct {
	sqldriver.Driver
	mu         sync.Mutex
	statements []string
}

type countingConn struct {
	sqldriver.Conn
	counter *counting
}

func (c *counting) Open(name string) (sqldriver.Conn, error) {
	conn, err := c.Driver.Open(name)
	return countingConn{conn, c}, err
}

func (c *counting) note(statement string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.statements = append(c.statements, statement)
}

// during returns the statements of an action.
func (c *counting) during(do func()) []string {
	c.mu.Lock()
	c.statements = nil
	c.mu.Unlock()
	do()
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.statements)
}

func (c countingConn) QueryContext(ctx context.Context, query string, args []sqldriver.NamedValue) (sqldriver.Rows, error) {
	c.counter.note(query)
	return c.Conn.(sqldriver.QueryerContext).QueryContext(ctx, query, args)
}

func (c countingConn) ExecContext(ctx context.Context, query string, args []sqldriver.NamedValue) (sqldriver.Result, error) {
	c.counter.note(query)
	return c.Conn.(sqldriver.ExecerContext).ExecContext(ctx, query, args)
}

func (c countingConn) BeginTx(ctx context.Context, o sqldriver.TxOptions) (sqldriver.Tx, error) {
	return c.Conn.(sqldriver.ConnBeginTx).BeginTx(ctx, o)
}

func (c countingConn) PrepareContext(ctx context.Context, query string) (sqldriver.Stmt, error) {
	c.counter.note(query)
	return c.Conn.(sqldriver.ConnPrepareContext).PrepareContext(ctx, query)
}

var counter = sync.OnceValue(func() *counting {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		panic(err)
	}
	defer db.Close()
	c := &counting{Driver: db.Driver()}
	sql.Register("counting", c)
	return c
})

// counted opens a file through the counter.
func counted(t *testing.T) (*Store, *counting) {
	t.Helper()
	c := counter()
	before := driver
	driver = "counting"
	t.Cleanup(func() { driver = before })
	return mustOpen(t, newFile(t)), c
}

func TestReadingTakesOneQueryHoweverManyRecordsThereAre(t *testing.T) {
	s, c := counted(t)
	fillWith(t, s, 200)
	day := measure.DateOf(newYear)
	for what, read := range map[string]func() error{
		"since":   func() error { _, err := s.EventsSince(t.Context(), 0, 0); return err },
		"between": func() error { _, err := s.EventsBetween(t.Context(), day, day.AddDays(400)); return err },
		"latest":  func() error { _, err := s.LatestEvents(t.Context(), 100); return err },
		"one":     func() error { _, err := s.EventByID(t.Context(), record(1).ID); return err },
		"photo":   func() error { _, err := s.Photo(t.Context(), PhotoIDOf(releasedPhotos[0])); return err },
		"current": func() error { _, err := s.CurrentHolding(t.Context()); return err },
		"plan":    func() error { _, err := s.LatestPlan(t.Context()); return err },
	} {
		got := c.during(func() {
			if err := read(); err != nil {
				t.Error(what, err)
			}
		})
		if len(got) != 1 {
			t.Errorf("%s took %d queries: %q", what, len(got), got)
		}
	}
}

func TestARecordTakesThreeStatementsToKeepAndOneToKnowAgain(t *testing.T) {
	s, c := counted(t)
	mustAdd(t, s, record(0))
	var batch []daybook.Event
	for n := range 100 {
		batch = append(batch, record(1+n))
	}
	if got := c.during(func() { mustAdd(t, s, batch...) }); len(got) != 300 {
		t.Errorf("%d statements for 100 new records", len(got))
	}
	if got := c.during(func() { mustAdd(t, s, batch...) }); len(got) != 100 {
		t.Errorf("%d statements for 100 records that are there", len(got))
	}
}

// TestReadingSearchesAndNeverScans asks the database how it would find the rows.
func TestReadingSearchesAndNeverScans(t *testing.T) {
	s, c := counted(t)
	fillWith(t, s, 20)
	other := record(1)
	other.Author = "Eve"
	day := measure.DateOf(newYear)
	asked := c.during(func() {
		s.EventsSince(t.Context(), 5, 3)
		s.EventsBetween(t.Context(), day, day)
		s.LatestEvents(t.Context(), 3)
		s.EventByID(t.Context(), record(1).ID)
		s.LastSequence(t.Context())
		s.Photo(t.Context(), PhotoIDOf(releasedPhotos[0]))
		s.CurrentHolding(t.Context())
		s.LatestPlan(t.Context())
		mustAdd(t, s, record(5000), record(1), other)
	})
	if len(asked) < 15 {
		t.Fatalf("only %d statements were seen", len(asked))
	}
	for _, statement := range asked {
		if !strings.HasPrefix(statement, "SELECT") {
			continue
		}
		args := make([]any, strings.Count(statement, "?"))
		for i := range args {
			args[i] = 1
		}
		rows, err := s.read.Query("EXPLAIN QUERY PLAN "+statement, args...)
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			var id, parent, unused int
			var detail string
			if err := rows.Scan(&id, &parent, &unused, &detail); err != nil {
				t.Fatal(err)
			}
			inOrder := strings.Contains(statement, "DESC LIMIT") && !strings.Contains(detail, "TEMP")
			if (strings.HasPrefix(detail, "SCAN") && !inOrder && detail != "SCAN CONSTANT ROW") || strings.HasPrefix(detail, "USE TEMP B-TREE FOR ORDER") {
				t.Errorf("%s\nis answered by: %s", statement, detail)
			}
		}
		rows.Close()
	}
}
