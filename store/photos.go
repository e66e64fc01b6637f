package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"time"
)

// LargestPhoto is how many bytes one photo may have. A phone's photo made
// smaller for the screen has a tenth of it; every backup carries every photo.
const LargestPhoto = 4 << 20

// PhotoID is the SHA-256 of a photo's bytes, as 64 hexadecimal digits. A record
// names its photos so, and a photo that is sent twice is kept once.
type PhotoID string

// PhotoIDOf reckons the identifier of a photo.
func PhotoIDOf(content []byte) PhotoID {
	sum := sha256.Sum256(content)
	return PhotoID(hex.EncodeToString(sum[:]))
}

func (id PhotoID) bytes() ([]byte, error) {
	b, err := hex.DecodeString(string(id))
	if err != nil || len(b) != sha256.Size {
		return nil, fmt.Errorf("%q does not name a photo; a name has 64 hexadecimal digits", string(id))
	}
	return b, nil
}

// Photo is a picture as it was sent.
type Photo struct {
	Number     int64
	ID         PhotoID
	Type       string // image/jpeg, image/png, image/webp or image/heic
	ReceivedAt time.Time
	Bytes      []byte
}

// heic are the brands of a file of pictures as phones take them.
var heic = []string{"heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1"}

// PhotoType tells from its first bytes what kind of picture a content is: one
// of the four that are taken, or "".
func PhotoType(content []byte) string {
	switch {
	case bytes.HasPrefix(content, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case bytes.HasPrefix(content, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case len(content) >= 16 && string(content[:4]) == "RIFF" && string(content[8:15]) == "WEBPVP8":
		return "image/webp"
	case len(content) >= 12 && string(content[4:8]) == "ftyp" && slices.Contains(heic, string(content[8:12])):
		return "image/heic"
	}
	return ""
}

// PhotoEnding is how the name of a file of a type ends, with its dot.
func PhotoEnding(photoType string) string {
	switch photoType {
	case "image/jpeg":
		return ".jpg"
	case "image/png":
		return ".png"
	case "image/webp":
		return ".webp"
	case "image/heic":
		return ".heic"
	}
	return ".bin"
}

// ErrPhoto says that what was sent cannot be kept as a photo.
var ErrPhoto = errors.New("this cannot be kept as a photo")

// AddPhoto keeps a photo; it is on the disk when the identifier is returned. A
// photo that is there already is not kept again. An error that is an ErrPhoto
// is for whoever sent it.
func (s *Store) AddPhoto(ctx context.Context, content []byte, receivedAt time.Time) (PhotoID, error) {
	photoType := PhotoType(content)
	switch {
	case len(content) > LargestPhoto:
		return "", faultOf(ErrPhoto, nil, "the photo has %.1f MB; at most %d MB are kept, so make it smaller", float64(len(content))/(1<<20), LargestPhoto>>20)
	case photoType == "":
		return "", faultOf(ErrPhoto, nil, "this is not a photo in one of the forms JPEG, PNG, WebP and HEIC")
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return "", s.explain("write into", err)
	}
	defer tx.Rollback()
	if err := insertPhoto(ctx, tx, photoType, content, instant(receivedAt)); err != nil {
		return "", s.explain("write into", err)
	}
	return PhotoIDOf(content), s.explain("write into", tx.Commit())
}

func insertPhoto(ctx context.Context, tx *sql.Tx, photoType string, content []byte, receivedAt string) error {
	sum := sha256.Sum256(content)
	var known int
	var number int64
	if err := tx.QueryRowContext(ctx, `SELECT count(*), (SELECT coalesce(max(number), 0) + 1 FROM photos) FROM photos WHERE sha256 = ?`, sum[:]).
		Scan(&known, &number); err != nil || known > 0 {
		return err
	}
	s := sealOf(number, sum[:], photoType, receivedAt)
	_, err := tx.ExecContext(ctx, `INSERT INTO photos (number, sha256, type, received_at, seal, bytes) VALUES (?, ?, ?, ?, ?, ?)`,
		number, sum[:], photoType, receivedAt, s[:], content)
	return err
}

const selectPhotos = `SELECT number, sha256, type, received_at, seal, bytes FROM photos`

// eachPhoto hands on the photos of a query that begins with selectPhotos, once
// each has been held against its seal and its name.
func eachPhoto(rows *sql.Rows, err error, do func(Photo, seal) error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var p Photo
		var sum, kept []byte
		var at string
		if err := rows.Scan(&p.Number, &sum, &p.Type, &at, &kept, &p.Bytes); err != nil {
			return err
		}
		right := sealOf(p.Number, sum, p.Type, at)
		p.ID = PhotoIDOf(p.Bytes)
		if !bytes.Equal(kept, right[:]) || string(p.ID) != hex.EncodeToString(sum) {
			return errBroken("photo", p.Number)
		}
		if p.ReceivedAt, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return err
		}
		if err := do(p, right); err != nil {
			return err
		}
	}
	return rows.Err()
}

// Photo returns the photo of an identifier; ErrNone when there is none.
func (s *Store) Photo(ctx context.Context, id PhotoID) (Photo, error) {
	sum, err := id.bytes()
	if err != nil {
		return Photo{}, err
	}
	var found Photo
	rows, err := s.read.QueryContext(ctx, selectPhotos+` WHERE sha256 = ?`, sum)
	err = eachPhoto(rows, err, func(p Photo, _ seal) error {
		found = p
		return nil
	})
	if err == nil && found.Number == 0 {
		err = ErrNone
	}
	return found, s.explain("read", err)
}
