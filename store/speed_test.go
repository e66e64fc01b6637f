package store

import (
	"fmt"
	"testing"
)

func BenchmarkOpenAFileOfFortyRevisions(b *testing.B) {
	path := b.TempDir() + "/" + FileName
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	for i := range 40 {
		if _, err := s.SaveHolding(b.Context(), someID, fmt.Appendf(nil, "a = %d # %01900d\n", i, i), newYear); err != nil {
			b.Fatal(err)
		}
	}
	s.Close()
	for b.Loop() {
		s, err := Open(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

func BenchmarkSaveAHolding(b *testing.B) {
	s, err := Open(b.TempDir() + "/" + FileName)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for i := 0; b.Loop(); i++ {
		if _, err := s.SaveHolding(b.Context(), someID, fmt.Appendf(nil, "a = %d\n", i), newYear); err != nil {
			b.Fatal(err)
		}
	}
}
