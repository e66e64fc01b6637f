package holding

import (
	"strings"

	"henyear/breed"
)

// findBreed returns the catalogue's id for an id or a name as a keeper writes
// it, or advice when there is none.
func findBreed(written string) (id, advice string) {
	b, err := breed.Find(written)
	if err != nil {
		_, advice, found := strings.Cut(err.Error(), "; ")
		if !found {
			advice = "see the catalogue of breeds for the names"
		}
		return "", advice
	}
	return b.ID, ""
}

// breedName is the name for a sentence.
func breedName(id string) string {
	if b, err := breed.Find(id); err == nil {
		return b.Name
	}
	return id
}
