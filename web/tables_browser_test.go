package web

import (
	"testing"

	"henyear/internal/browser"
)

func TestEverybodyCanUseThePageOfFiles(t *testing.T) {
	h := open(t, nil).settled(t)
	for name, view := range looks {
		tab := browser.Open(t, h.web.URL+"/tables", view)
		lookAt(t, tab, name, "/tables")
	}
}
