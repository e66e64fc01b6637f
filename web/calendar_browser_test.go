package web

import (
	"testing"

	"henyear/internal/browser"
)

func TestThePageOfTheCalendarServesEverybody(t *testing.T) {
	h, d, _ := letIn(t, true)
	if err := d.Change(func(s *DeviceSettings) error { s.Plain = true; return nil }); err != nil {
		t.Fatal(err)
	}
	h.reach.Lock()
	h.reach.pages = h.server.Handler()
	h.reach.Unlock()
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+"/work/calendar", view)
			lookAt(t, tab, name, "/calendar")
			tab.Click(`form[action="/work/calendar/address"] button`)
			tab.Wait(".made")
			lookAt(t, tab, name, "/address")
		})
	}
}
