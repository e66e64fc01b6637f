package web

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"net/http"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"henyear/calendar"
	"henyear/measure"
)

// calendarFile keeps what the keeper chose for calendars, beside the settings of
// other devices and like them outside of backups: an address that was given up
// must not come back with an old backup.
const (
	calendarFile   = "calendar.json"
	calendarFormat = 1
)

// calendarSettings are what a calendar shows, and the address at which other
// programs read it. Of its secret only a hash is kept: 256 random bits need no
// slow one.
type calendarSettings struct {
	Format       int             `json:"format"`
	Key          string          `json:"key"` // SHA-256 of the secret; empty: no address
	Made         measure.Date    `json:"made"`
	Asked        measure.Date    `json:"asked"` // when a calendar last read it
	Alarms       calendar.Alarms `json:"alarms"`
	WithoutKinds []calendar.Kind `json:"without_kinds"`
	WithoutWho   []calendar.Who  `json:"without_who"`
	Changed      time.Time       `json:"changed"` // of what is shown
}

// calendarKeys guard the address. Its wrong guesses are counted apart from
// those of passphrases: a phone that still asks at an address that was given up
// must not lock its keeper out.
type calendarKeys struct {
	mu      sync.Mutex
	guesses guesses
}

// usualCalendar leaves the daily round out: it needs no calendar, and would hide
// what does.
func usualCalendar() calendarSettings {
	return calendarSettings{Alarms: calendar.Alarms{Evening: true, HourBefore: true}, WithoutKinds: []calendar.Kind{calendar.Daily}}
}

func (d *Devices) calendarSettings() (calendarSettings, error) {
	d.calendar.mu.Lock()
	defer d.calendar.mu.Unlock()
	return d.readCalendar()
}

func (d *Devices) readCalendar() (calendarSettings, error) {
	set := usualCalendar()
	err := readOwn(filepath.Join(d.folder, calendarFile), &set)
	if err == nil && set.Format > calendarFormat {
		err = newerFile(calendarFile)
	}
	return set, err
}

func (d *Devices) changeCalendar(change func(*calendarSettings)) error {
	d.calendar.mu.Lock()
	defer d.calendar.mu.Unlock()
	set, err := d.readCalendar()
	if err != nil {
		return err
	}
	change(&set)
	set.Format = calendarFormat
	return writeOwn(filepath.Join(d.folder, calendarFile), set)
}

// newCalendarKey makes a secret address and gives up the one before it. The
// secret is returned this once.
func (d *Devices) newCalendarKey(today measure.Date) (string, error) {
	secret := make([]byte, 32)
	rand.Read(secret)
	key := base64.RawURLEncoding.EncodeToString(secret)
	return key, d.changeCalendar(func(set *calendarSettings) {
		set.Key, set.Made, set.Asked = tokenKey(key), today, measure.Date{}
	})
}

// stopCalendar gives the address up.
func (d *Devices) stopCalendar() error {
	return d.changeCalendar(func(set *calendarSettings) {
		set.Key, set.Made, set.Asked = "", measure.Date{}, measure.Date{}
	})
}

// calendarKeyFits tells whether this is the secret of the address, in the same
// time whatever it is. It notes the day.
func (d *Devices) calendarKeyFits(key string, today measure.Date) bool {
	set, err := d.calendarSettings()
	if err != nil || len(key) > 100 {
		return false
	}
	if subtle.ConstantTimeCompare([]byte(tokenKey(key)), []byte(set.Key)) != 1 {
		return false
	}
	if set.Asked != today {
		d.changeCalendar(func(set *calendarSettings) { set.Asked = today }) // at worst it is noted tomorrow
	}
	return true
}

// waitForCalendar counts a wrong secret and tells how long its sender has to
// wait.
func (d *Devices) waitForCalendar(from netip.Addr) time.Duration {
	d.calendar.mu.Lock()
	if d.calendar.guesses.Mutex == nil {
		d.calendar.guesses = newGuesses()
	}
	d.calendar.mu.Unlock()
	return d.calendar.guesses.wait(from, d.now())
}

// calendarPath tells whether a request is for a calendar at a secret address,
// which is let in by that secret alone.
func calendarPath(r *http.Request) bool {
	file, under := strings.CutPrefix(r.URL.Path, "/calendar/")
	return under && strings.HasSuffix(file, ".ics") && !strings.Contains(file, "/") && (r.Method == http.MethodGet || r.Method == http.MethodHead)
}

// calendarAddresses are where the calendar with this secret is read: on this
// computer, and by other devices where they are let in.
func (s *Server) calendarAddresses(r *http.Request, key string) addressView {
	path := "calendar/" + key + ".ics"
	v := addressView{Here: "http://" + r.Host + "/" + path}
	if set := s.Devices.Settings(); set.On {
		v.Secure = set.SecureAddress() + path
		if set.Plain {
			v.Plain = set.PlainAddress() + path
		}
	}
	return v
}

// leftOut are the values that a form did not tick.
func leftOut[T ~string](all []T, ticked []string) []T {
	var list []T
	for _, x := range all {
		if !slices.Contains(ticked, string(x)) {
			list = append(list, x)
		}
	}
	return list
}
