package web

import (
	"testing"

	"henyear/internal/browser"
)

func TestThePagesOfOtherDevicesServeEverybody(t *testing.T) {
	h, _, _ := letIn(t, true)
	h.reach.Lock()
	h.reach.pages = h.server.Handler()
	h.reach.Unlock()
	for name, view := range looks {
		t.Run(name, func(t *testing.T) {
			tab := browser.Open(t, h.web.URL+"/devices", view)
			tab.Wait(".code")
			lookAt(t, tab, name, "/devices")
			tab.Go(h.web.URL + "/daybook/import")
			tab.Type("#pasted", "date,eggs,mood\n03/04/2025,5,good\n04/04/2025,x,\n")
			tab.Click(".record-form .main")
			tab.Wait("#q0")
			lookAt(t, tab, name, "/import")
		})
	}
}

func TestAPhoneSignsInAtTheDoorAndWritesARecord(t *testing.T) {
	h, d, _ := letIn(t, true)
	// The door answers under the address of this test alone.
	if err := d.Change(func(s *DeviceSettings) error { s.Addresses = []string{"127.0.0.1"}; return nil }); err != nil {
		t.Fatal(err)
	}
	doors, err := h.server.Doors()
	if err != nil {
		t.Fatal(err)
	}
	h.reach.Lock()
	h.reach.pages = doors[1].Handler
	h.reach.Unlock()
	tab := browser.Open(t, h.web.URL+"/daybook", browser.Phone)
	tab.Wait("#passphrase")
	lookAt(t, tab, "phone-light", "/enter")
	tab.Type("#passphrase", "not the words")
	tab.Click(".main")
	tab.Wait(".error")
	tab.Type("#passphrase", helperWords)
	tab.Type("#name", "Ann")
	tab.Click(".main")
	tab.Wait(".tiles")
	lookAt(t, tab, "phone-light", "/helper")
	tab.Click(`.tiles input[value="5"]`)
	tab.Click(`.eggs .main`)
	waitFor(t, tab, `document.querySelector("#phone .line.safe")`)
	if n := len(h.written(t, "eggs")); n != 1 {
		t.Errorf("%d records", n)
	}
	tab.Go(h.web.URL + "/certificate")
	lookAt(t, tab, "phone-light", "/certificate")
}
