package main

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func TestPageWithAFaultSaysSoAndTheOthersStillWork(t *testing.T) {
	var said bytes.Buffer
	pages := http.NewServeMux()
	pages.HandleFunc("/fault", func(http.ResponseWriter, *http.Request) { hatchADuck() })
	pages.HandleFunc("/well", func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "eggs") })
	server := httptest.NewServer(steady{pages, &said})
	defer server.Close()

	status, text := get(t, server.URL+"/fault")
	if status != http.StatusInternalServerError || !strings.Contains(text, "a fault in henyear") || strings.Contains(text, "goroutine") {
		t.Errorf("%d: %s", status, text)
	}
	if !strings.Contains(said.String(), "hatchADuck") || strings.Contains(said.String(), "goroutine") {
		t.Errorf("the terminal was told: %s", said.String())
	}
	if status, text := get(t, server.URL+"/well"); status != http.StatusOK || text != "eggs" {
		t.Errorf("%d: %s", status, text)
	}
}
