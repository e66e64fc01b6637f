package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"henyear/chance"
	"henyear/examples"
	"henyear/holding"
	"henyear/plan"
)

// stopping is the keeper's Ctrl-C at the end of what is read.
type stopping struct {
	io.Reader
	stop func()
}

func (s stopping) Read(b []byte) (int, error) {
	n, err := s.Reader.Read(b)
	if err == io.EOF {
		s.stop()
	}
	return n, err
}

func TestOddsStoppedBeforeTheyAreKnownTellNothingAndEndAsInterrupted(t *testing.T) {
	text, err := examples.Get(examples.Demo)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var told, said bytes.Buffer
	in := stopping{bytes.NewReader(text), stop}
	err = dispatch(ctx, []string{"odds", "-"}, terminal{in, &told, &said})
	if code := sayEnd(&said, err); code != exitInterrupted || told.Len() > 0 || !strings.HasSuffix(said.String(), "Stopped.\n") {
		t.Errorf("exit code %d, told %q, said %q", code, told.String(), said.String())
	}
}

func TestAPlanWithoutBirdsIsTheKeepersToMend(t *testing.T) {
	_, err := worldOf(&holding.Holding{}, &plan.Plan{})
	var bad badInput
	if !errors.As(err, &bad) || !errors.Is(err, chance.ErrNoBirds) {
		t.Error(err)
	}
}
