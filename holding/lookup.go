package holding

// findBreed returns the catalogue's id for an id as a keeper writes it, or
// advice when there is none.
func findBreed(written string) (id, advice string) { return written, "" }

// breedName is the name for a sentence.
func breedName(id string) string { return id }
