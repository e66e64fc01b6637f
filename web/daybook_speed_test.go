package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"testing"
	"time"

	"henyear/daybook"
	"henyear/measure"
	"henyear/store"
)

// tenYears fills a book with ten years of daily records: 27 a day make 100,000.
func tenYears(b *testing.B, h *house) {
	b.Helper()
	day := measure.Date{Year: 2016, Month: 1, Day: 1}
	var batch []daybook.Event
	send := func() {
		if _, err := h.book.AddEvents(b.Context(), batch, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)); err != nil {
			b.Fatal(err)
		}
		batch = batch[:0]
	}
	for d := range 3650 {
		for n := range 27 {
			payload, err := json.Marshal(map[string]any{"number": 1 + (d+n)%3})
			if err != nil {
				b.Fatal(err)
			}
			batch = append(batch, daybook.Event{ID: freshID(), Kind: "eggs", Version: 1, HappenedOn: day.AddDays(d),
				RecordedAt: time.Date(2016, 1, 1, 6, n, 0, 0, time.UTC).AddDate(0, 0, d), Payload: payload})
			if len(batch) == store.MostEventsAtOnce {
				send()
			}
		}
	}
	send()
}

// BenchmarkDaybookOfTenYears opens the pages of the daybook and writes entries, with
// 100,000 records there already. It reports the time that 95 of 100 pages take at
// most, and 95 of 100 entries.
func BenchmarkDaybookOfTenYears(b *testing.B) {
	h := open(b, nil).settled(b)
	tenYears(b, h)
	h.get(b, "/daybook/flock")
	at95 := func(times []time.Duration) float64 {
		slices.Sort(times)
		return float64(times[len(times)*95/100].Microseconds()) / 1000
	}
	var pages, after, entries []time.Duration
	for i := 0; b.Loop(); i++ {
		began := time.Now()
		w := h.send(request("POST", "/daybook/add", url.Values{"entry": {"eggs"}, "id": {freshID().String()}, "happened_on": {h.server.date().String()}, "number": {fmt.Sprint(1 + i%9)}}))
		entries = append(entries, time.Since(began))
		if w.Code >= http.StatusBadRequest {
			b.Fatal(w.Code, w.Body)
		}
		for n, path := range []string{"/daybook", "/daybook/last", "/daybook/flock", "/daybook"} {
			began = time.Now()
			if code, _ := h.get(b, path); code != http.StatusOK {
				b.Fatal(path, code)
			}
			if n == 0 {
				after = append(after, time.Since(began))
			}
			pages = append(pages, time.Since(began))
		}
	}
	b.ReportMetric(at95(pages), "ms/page-95th")
	b.ReportMetric(at95(after), "ms/page-after-entry-95th")
	b.ReportMetric(at95(entries), "ms/entry-95th")
}
