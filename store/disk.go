package store

// IsFull reports whether an error, also one of the system itself, says that a
// disk has no room left.
func IsFull(err error) bool { return kindOf(err) == ErrFull }

// IsReadOnly reports whether an error says that a place may not be written.
func IsReadOnly(err error) bool { return kindOf(err) == ErrReadOnly }
