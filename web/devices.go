package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// Devices decides which other devices in the house may come in, and as whom. It
// keeps its settings, the passphrases as slow hashes, and the devices that are
// signed in, in the household's data folder, in files that only this user may
// read. Nothing of it goes into a backup or an export.
type Devices struct {
	folder string
	now    func() time.Time

	mu       sync.Mutex
	settings DeviceSettings
	read     time.Time // of the settings file when it was last read
	sessions map[string]session
	guesses  guesses
	slow     sync.Mutex // one slow hash at a time: each takes 19 MiB
	calendar calendarKeys
}

// DeviceSettings say whether other devices may come in, and by which door.
type DeviceSettings struct {
	Format    int      `json:"format"`
	On        bool     `json:"on"`
	Addresses []string `json:"addresses"` // of this computer, on which it answers
	Port      int      `json:"port"`      // encrypted; plain is the next one
	Plain     bool     `json:"plain"`     // let devices in without encryption too
	Keeper    string   `json:"keeper"`    // hash of the passphrase
	Helper    string   `json:"helper"`    // likewise; empty: no helpers
}

// UsualDevicePort is where other devices find the house unless told otherwise.
const UsualDevicePort = 8418

const (
	settingsFile = "devices.json"
	sessionsFile = "signed-in.json"
	deviceFormat = 1
)

// OpenDevices reads the settings of a data folder; without any, other devices
// are kept out.
func OpenDevices(folder string, now func() time.Time) (*Devices, error) {
	d := &Devices{folder: folder, now: now, sessions: map[string]session{}, guesses: newGuesses()}
	if err := d.reload(); err != nil {
		return nil, err
	}
	err := readOwn(filepath.Join(folder, sessionsFile), &d.sessions)
	if d.sessions == nil {
		d.sessions = map[string]session{}
	}
	return d, err
}

// Settings are the settings as they are now, also when another program changed
// them.
func (d *Devices) Settings() DeviceSettings {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.reload() // an unreadable file leaves what was
	s := d.settings
	s.Addresses = append([]string{}, s.Addresses...)
	return s
}

func (d *Devices) reload() error {
	path := filepath.Join(d.folder, settingsFile)
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		d.settings, d.read = DeviceSettings{Format: deviceFormat, Port: UsualDevicePort}, time.Time{}
		return nil
	}
	if err != nil || info.ModTime().Equal(d.read) {
		return err
	}
	var s DeviceSettings
	if err := readOwn(path, &s); err != nil {
		return err
	}
	if s.Format > deviceFormat {
		return newerFile(path)
	}
	changed := d.settings.Keeper != s.Keeper || d.settings.Helper != s.Helper
	if d.read.IsZero() {
		changed = false
	}
	d.settings, d.read = s, info.ModTime()
	if changed {
		d.sessions = map[string]session{} // whoever knew the old passphrase signs in again
		return d.saveSessions()
	}
	return nil
}

func newerFile(path string) error { return fmt.Errorf("%s was written by a newer henyear", path) }

// Change changes the settings in the file. The error of change is returned as
// it is and nothing is kept.
func (d *Devices) Change(change func(*DeviceSettings) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.reload(); err != nil {
		return err
	}
	s := d.settings
	if err := change(&s); err != nil {
		return err
	}
	if err := s.check(); err != nil {
		return err
	}
	s.Format = deviceFormat
	forget := s.Keeper != d.settings.Keeper || s.Helper != d.settings.Helper || !s.On
	if err := writeOwn(filepath.Join(d.folder, settingsFile), s); err != nil {
		return err
	}
	if forget {
		d.sessions = map[string]session{}
		if err := d.saveSessions(); err != nil {
			return err
		}
	}
	d.read = time.Time{}
	return d.reload()
}

func (s *DeviceSettings) check() error {
	if !s.On {
		return nil
	}
	if s.Keeper == "" {
		return errors.New(say("devices.need.passphrase"))
	}
	if len(s.Addresses) == 0 {
		return errors.New(say("devices.need.address"))
	}
	for _, a := range s.Addresses {
		ip, err := netip.ParseAddr(a)
		if err != nil || !ip.IsPrivate() && !ip.IsLinkLocalUnicast() && !ip.IsLoopback() {
			return errors.New(say("devices.private", a))
		}
	}
	if s.Port < 1024 || s.Port > 65534 {
		return errors.New(say("devices.port"))
	}
	return nil
}

// SetPassphrases sets the passphrase of the keeper and that of helpers; an empty
// one leaves what is, and "-" as the helper's takes it away.
func (s *DeviceSettings) SetPassphrases(keeper, helper string) error {
	if keeper != "" {
		if err := checkPassphrase(keeper); err != nil {
			return err
		}
		s.Keeper = hashPassphrase(keeper)
	}
	switch {
	case helper == "-":
		s.Helper = ""
	case helper != "":
		if err := checkPassphrase(helper); err != nil {
			return err
		}
		if s.Keeper != "" && matches(s.Keeper, helper) {
			return errors.New(say("devices.same"))
		}
		s.Helper = hashPassphrase(helper)
	}
	return nil
}

// leastPassphrase keeps a passphrase from being guessed at the pace that is
// left to guessers, and is short enough for a cold thumb.
const leastPassphrase = 10

func checkPassphrase(text string) error {
	if n := utf8.RuneCountInString(text); n < leastPassphrase || n > 200 || strings.TrimSpace(text) != text {
		return errors.New(say("devices.short", fmt.Sprint(leastPassphrase)))
	}
	return nil
}

// The cost of one guess: 19 MiB and two passes of argon2id, about a tenth of a
// second on a small machine.
const (
	hashPasses = 2
	hashKiB    = 19 << 10
	hashLanes  = 1
	hashBytes  = 32
)

func hashPassphrase(text string) string {
	salt := make([]byte, 16)
	rand.Read(salt)
	return "argon2id$" + hex.EncodeToString(salt) + "$" + hex.EncodeToString(slowHash(text, salt))
}

func slowHash(text string, salt []byte) []byte {
	return argon2.IDKey([]byte(text), salt, hashPasses, hashKiB, hashLanes, hashBytes)
}

// matches takes as long for a wrong passphrase as for a right one, and as long
// where none is set.
func matches(hash, text string) bool {
	parts := strings.Split(hash, "$")
	salt, want := make([]byte, 16), make([]byte, hashBytes)
	known := len(parts) == 3 && parts[0] == "argon2id"
	if known {
		s, err1 := hex.DecodeString(parts[1])
		w, err2 := hex.DecodeString(parts[2])
		if known = err1 == nil && err2 == nil && len(w) == hashBytes; known {
			salt, want = s, w
		}
	}
	same := subtle.ConstantTimeCompare(slowHash(text, salt), want) == 1
	return known && same
}

// roleOf finds whose passphrase this is. Both are always tried, so that the time
// it takes tells nothing.
func (d *Devices) roleOf(passphrase string) (Role, bool) {
	if len(passphrase) > 1000 {
		return "", false
	}
	s := d.Settings()
	d.slow.Lock()
	defer d.slow.Unlock()
	keeper, helper := matches(s.Keeper, passphrase), matches(s.Helper, passphrase)
	switch {
	case keeper:
		return Keeper, true
	case helper:
		return Helper, true
	}
	return "", false
}

// A session is one device that is signed in. Only a hash of its token is kept.
type session struct {
	Role  Role      `json:"role"`
	Name  string    `json:"name"`
	Since time.Time `json:"since"`
	Seen  time.Time `json:"seen"`
}

// sessionLasts is how long a device may be away before it has to sign in again:
// a phone in a drawer over winter still delivers its records in spring.
const sessionLasts = 200 * 24 * time.Hour

// mostSessions bounds the file; the one away longest goes first.
const mostSessions = 100

func tokenKey(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// signIn makes a session and returns its token.
func (d *Devices) signIn(role Role, name string) (string, error) {
	secret := make([]byte, 32)
	rand.Read(secret)
	token := base64.RawURLEncoding.EncodeToString(secret)
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	d.sessions[tokenKey(token)] = session{role, name, now, now}
	for len(d.sessions) > mostSessions {
		oldest := ""
		for key, x := range d.sessions {
			if oldest == "" || x.Seen.Before(d.sessions[oldest].Seen) {
				oldest = key
			}
		}
		delete(d.sessions, oldest)
	}
	return token, d.saveSessions()
}

// visit tells whose token this is.
func (d *Devices) visit(token string) (session, bool) {
	if token == "" {
		return session{}, false
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.reload()
	key := tokenKey(token)
	x, ok := d.sessions[key]
	now := d.now()
	switch {
	case !ok || !d.settings.On || x.Role == Helper && d.settings.Helper == "":
		return session{}, false
	case now.Sub(x.Seen) > sessionLasts:
		delete(d.sessions, key)
		d.saveSessions()
		return session{}, false
	case now.Sub(x.Seen) > 24*time.Hour:
		x.Seen = now
		d.sessions[key] = x
		d.saveSessions() // at worst it is seen a day later
	}
	return x, true
}

func (d *Devices) signOut(token string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.sessions, tokenKey(token))
	return d.saveSessions()
}

// forget signs all devices out.
func (d *Devices) forget() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.sessions = map[string]session{}
	return d.saveSessions()
}

func (d *Devices) signedIn() []session {
	d.mu.Lock()
	defer d.mu.Unlock()
	var list []session
	for _, x := range d.sessions {
		list = append(list, x)
	}
	return list
}

func (d *Devices) saveSessions() error {
	return writeOwn(filepath.Join(d.folder, sessionsFile), d.sessions)
}

// readOwn reads a JSON file; none is no error.
func readOwn(path string, into any) error {
	b, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err == nil {
		err = json.Unmarshal(b, into)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be read: %w", path, err)
	}
	return nil
}

// writeOwn writes a JSON file that only this user may read, whole or not at all.
func writeOwn(path string, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	return writeSecret(path, append(b, '\n'))
}

func writeSecret(path string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*") // made with mode 0600
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
