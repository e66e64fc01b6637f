package daybook

// BlankOf is an empty content of a kind of record, for whoever describes what
// records hold.
func BlankOf(k Kind) Payload { return k.blank() }
