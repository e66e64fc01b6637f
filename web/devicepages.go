package web

import (
	"crypto/tls"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/skip2/go-qrcode"

	"henyear/measure"
	"henyear/report"
)

// A Door is one way by which other devices come in.
type Door struct {
	Address string // host:port to listen on
	Handler http.Handler
	TLS     *tls.Config // nil: not encrypted
}

// Doors are the ways that are open under the settings: none when other devices
// are kept out. The plain door always shows how to install the certificate; the
// pages themselves only when the settings say so.
func (s *Server) Doors() ([]Door, error) {
	set := s.Devices.Settings()
	if !set.On {
		return nil, nil
	}
	if err := set.check(); err != nil {
		return nil, err
	}
	house, err := openHousehold(s.Devices.folder, s.now())
	if err != nil {
		return nil, err
	}
	names := set.names()
	if _, err := house.certificateFor(names, s.now()); err != nil {
		return nil, err
	}
	encrypted := &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		return house.certificateFor(names, s.now())
	}}
	var doors []Door
	for _, a := range set.Addresses {
		doors = append(doors,
			Door{net.JoinHostPort(a, strconv.Itoa(set.Port)), s.doorHandler(set, house, true), encrypted},
			Door{net.JoinHostPort(a, strconv.Itoa(set.Port+1)), s.doorHandler(set, house, false), nil})
	}
	return doors, nil
}

// names are the names under which other devices may ask for this computer.
func (set DeviceSettings) names() []string {
	names := slices.Clone(set.Addresses)
	if host, err := os.Hostname(); err == nil && host != "" && !strings.ContainsAny(host, " _") {
		host, _, _ = strings.Cut(strings.ToLower(host), ".")
		names = append(names, host+".local")
	}
	return names
}

// SecureAddress and PlainAddress are what a phone opens.
func (set DeviceSettings) SecureAddress() string {
	return set.address("https", set.Port)
}

func (set DeviceSettings) PlainAddress() string {
	return set.address("http", set.Port+1)
}

func (set DeviceSettings) address(scheme string, port int) string {
	if len(set.Addresses) == 0 {
		return ""
	}
	return scheme + "://" + net.JoinHostPort(set.Addresses[0], strconv.Itoa(port)) + "/"
}

// PrivateAddresses are the addresses of this computer within the house.
func PrivateAddresses() []string {
	var list []string
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range all {
		p, err := netip.ParsePrefix(a.String())
		if err == nil && p.Addr().Is4() && p.Addr().IsPrivate() {
			list = append(list, p.Addr().String())
		}
	}
	slices.Sort(list)
	return list
}

// doorHandler serves another device. Without a session it sees the way in, the
// certificate and the files of the program, and nothing of the household.
func (s *Server) doorHandler(set DeviceSettings, house *household, secure bool) http.Handler {
	names := set.names()
	ours := func(host string) bool {
		name := host
		if h, _, err := net.SplitHostPort(host); err == nil {
			name = h
		}
		name = strings.Trim(strings.ToLower(name), "[]")
		return slices.Contains(names, name)
	}
	pages := s.pagesOf(func(mux *http.ServeMux) {
		mux.HandleFunc("GET /devices/enter", s.showEnter)
		mux.HandleFunc("POST /devices/enter", func(w http.ResponseWriter, r *http.Request) { s.enter(w, r, secure) })
		mux.HandleFunc("POST /devices/leave", func(w http.ResponseWriter, r *http.Request) { s.leave(w, r, secure) })
		mux.HandleFunc("GET /certificate", func(w http.ResponseWriter, r *http.Request) { s.showCertificate(w, r, set, house) })
		mux.HandleFunc("GET /certificate/henyear.crt", func(w http.ResponseWriter, r *http.Request) { certificateFile(w, house) })
	})
	inside := s.headers(s.hosts(ours, s.admit(secure, set.Plain, pages)))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		inside.ServeHTTP(w, withVisitor(r, Visitor{Secure: secure})) // a stranger, until admitted
	})
}

// openPaths need no session.
func openPath(path string) bool {
	return strings.HasPrefix(path, "/static/") || strings.HasPrefix(path, "/certificate") ||
		path == "/daybook/manifest.webmanifest" || path == "/daybook/worker.js"
}

// helperPath tells what a helper may reach.
func helperPath(r *http.Request) bool {
	switch r.Method + " " + r.URL.Path {
	case "GET /daybook", "GET /daybook/state", "POST /daybook/records", "POST /daybook/photos", "POST /daybook/add", "POST /daybook/undo", "GET /work", "POST /work/done", "POST /work/undo",
		"GET /devices/enter", "POST /devices/enter", "POST /devices/leave":
		return true
	}
	return openPath(r.URL.Path)
}

// admit lets in who has a session, as whoever signed in there.
func (s *Server) admit(secure, plain bool, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		token := ""
		if c, err := r.Cookie(cookieName(secure)); err == nil {
			token = c.Value
		}
		session, known := s.Devices.visit(token)
		visitor := Visitor{Secure: secure}
		if known {
			visitor.Role, visitor.Name = session.Role, session.Name
		}
		r = withVisitor(r, visitor)
		switch {
		case openPath(r.URL.Path), calendarPath(r) && (secure || plain):
		case !secure && !plain:
			http.Redirect(w, r, "/certificate", http.StatusSeeOther)
			return
		case !known && r.URL.Path != "/devices/enter":
			s.turnAway(w, r)
			return
		case known && session.Role != Keeper && r.URL.Path == "/":
			http.Redirect(w, r, "/daybook", http.StatusSeeOther)
			return
		case known && session.Role != Keeper && !helperPath(r):
			s.fail(w, r, http.StatusForbidden, "error.helper")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// turnAway answers whoever is not signed in.
func (s *Server) turnAway(w http.ResponseWriter, r *http.Request) {
	if strings.Contains(r.Header.Get("Accept"), "text/html") && r.Method == http.MethodGet {
		http.Redirect(w, r, "/devices/enter", http.StatusSeeOther)
		return
	}
	s.refuseJSON(w, http.StatusUnauthorized, "error.enter")
}

func cookieName(secure bool) string {
	if secure {
		return "__Host-henyear"
	}
	return "henyear"
}

func sessionCookie(secure bool, token string, lasts time.Duration) *http.Cookie {
	return &http.Cookie{Name: cookieName(secure), Value: token, Path: "/", MaxAge: int(lasts.Seconds()),
		HttpOnly: true, Secure: secure, SameSite: http.SameSiteStrictMode}
}

type enterView struct {
	Fault  string
	Name   string
	Secure bool
}

func (s *Server) showEnter(w http.ResponseWriter, r *http.Request) {
	s.enterPage(w, r, http.StatusOK, "")
}

func (s *Server) enterPage(w http.ResponseWriter, r *http.Request, status int, fault string) {
	s.show(w, r, status, "enter", page{Phone: true, Body: enterView{fault, r.PostFormValue("name"), visitorOf(r).Secure}})
}

// enter signs a device in.
func (s *Server) enter(w http.ResponseWriter, r *http.Request, secure bool) {
	r.Body = http.MaxBytesReader(w, r.Body, 8<<10)
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	from := remoteAddress(r)
	if wait := s.Devices.guesses.wait(from, s.Devices.now()); wait > 0 {
		seconds := int(wait.Seconds()) + 1
		w.Header().Set("Retry-After", strconv.Itoa(seconds))
		s.enterPage(w, r, http.StatusTooManyRequests, say("enter.wait", report.Number(float64(seconds), 0)))
		return
	}
	role, ok := s.Devices.roleOf(r.PostForm.Get("passphrase"))
	if !ok {
		s.Log.Warn("a wrong passphrase was tried", "from", from)
		s.enterPage(w, r, http.StatusForbidden, say("enter.wrong"))
		return
	}
	s.Devices.guesses.right(from)
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if runes := []rune(name); len(runes) > 40 {
		name = string(runes[:40])
	}
	name = strings.Map(plainRune, name)
	token, err := s.Devices.signIn(role, name)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.devices", err.Error())
		return
	}
	http.SetCookie(w, sessionCookie(secure, token, sessionLasts))
	http.Redirect(w, r, "/daybook", http.StatusSeeOther)
}

func plainRune(c rune) rune {
	if c < ' ' || c == 0x7f {
		return -1
	}
	return c
}

func remoteAddress(r *http.Request) netip.Addr {
	if p, err := netip.ParseAddrPort(r.RemoteAddr); err == nil {
		return p.Addr()
	}
	return netip.IPv4Unspecified()
}

func (s *Server) leave(w http.ResponseWriter, r *http.Request, secure bool) {
	if c, err := r.Cookie(cookieName(secure)); err == nil {
		if err := s.Devices.signOut(c.Value); err != nil {
			s.fail(w, r, http.StatusInternalServerError, "error.devices", err.Error())
			return
		}
	}
	http.SetCookie(w, sessionCookie(secure, "", -time.Second))
	http.Redirect(w, r, "/devices/enter", http.StatusSeeOther)
}

type certificateView struct {
	Fingerprint, Secure string
	Plain               bool
}

// showCertificate guides through the installation of the household's
// certificate, and says what it means to trust one.
func (s *Server) showCertificate(w http.ResponseWriter, r *http.Request, set DeviceSettings, house *household) {
	s.show(w, r, http.StatusOK, "certificate", page{Phone: true, Body: certificateView{house.fingerprint(), secureFor(r, set), set.Plain}})
}

// secureFor is the encrypted address under the name by which the phone came.
func secureFor(r *http.Request, set DeviceSettings) string {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = strings.Trim(r.Host, "[]")
	}
	return "https://" + net.JoinHostPort(host, strconv.Itoa(set.Port)) + "/daybook"
}

func certificateFile(w http.ResponseWriter, house *household) {
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="henyear.crt"`)
	w.Write(house.certificate.Raw)
}

// localRoutes are the settings, which only the computer itself may see.
func (s *Server) localRoutes(mux *http.ServeMux) {
	if s.Devices == nil {
		return
	}
	mux.HandleFunc("GET /devices", s.showDevices)
	mux.HandleFunc("POST /devices", s.saveDevices)
	mux.HandleFunc("POST /devices/forget", s.forgetDevices)
	mux.HandleFunc("GET /devices/code/{name}", s.deviceCode)
	s.calendarHomeRoutes(mux)
}

type devicesView struct {
	Settings      DeviceSettings
	Addresses     []choice
	Gone          []string // addresses that this computer has no longer
	Fingerprint   string
	SignedIn      []string
	HasHelper     bool
	Fault         string
	Secure, Plain string
}

func (s *Server) showDevices(w http.ResponseWriter, r *http.Request) {
	s.devicesPage(w, r, http.StatusOK, "")
}

func (s *Server) devicesPage(w http.ResponseWriter, r *http.Request, status int, fault string) {
	set := s.Devices.Settings()
	v := devicesView{Settings: set, Fault: fault, HasHelper: set.Helper != "", Secure: set.SecureAddress() + "daybook", Plain: set.PlainAddress() + "certificate"}
	have := PrivateAddresses()
	for _, a := range have {
		v.Addresses = append(v.Addresses, choice{Value: a, Label: a, Chosen: len(set.Addresses) == 0 || slices.Contains(set.Addresses, a)})
	}
	for _, a := range set.Addresses {
		if !slices.Contains(have, a) {
			v.Gone = append(v.Gone, a)
		}
	}
	if set.On {
		house, err := openHousehold(s.Devices.folder, s.now())
		if err != nil {
			v.Fault = err.Error()
		} else {
			v.Fingerprint = house.fingerprint()
		}
	}
	for _, x := range s.Devices.signedIn() {
		name := x.Name
		if name == "" {
			name = say("devices.nameless")
		}
		v.SignedIn = append(v.SignedIn, say("devices.signed", name, say("devices.role."+string(x.Role)), report.Day(measure.DateOf(x.Seen))))
	}
	slices.Sort(v.SignedIn)
	s.show(w, r, status, "devices", page{Phone: true, Body: v})
}

func (s *Server) saveDevices(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 16<<10)
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "error.form")
		return
	}
	f := r.PostForm
	err := s.Devices.Change(func(set *DeviceSettings) error {
		set.On = f.Get("on") == "yes"
		if !set.On {
			return nil
		}
		set.Plain = f.Get("plain") == "yes"
		set.Addresses = f["address"]
		helper := f.Get("helper")
		if f.Get("no_helper") == "yes" {
			helper = "-"
		}
		return set.SetPassphrases(f.Get("keeper"), helper)
	})
	if err != nil {
		s.devicesPage(w, r, http.StatusUnprocessableEntity, capitalised(err.Error()))
		return
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
}

func (s *Server) forgetDevices(w http.ResponseWriter, r *http.Request) {
	if err := s.Devices.forget(); err != nil {
		s.fail(w, r, http.StatusInternalServerError, "error.devices", err.Error())
		return
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
}

// deviceCode draws an address as a code that a phone's camera reads.
func (s *Server) deviceCode(w http.ResponseWriter, r *http.Request) {
	set := s.Devices.Settings()
	text := map[string]string{"daybook.svg": set.SecureAddress() + "daybook", "certificate.svg": set.PlainAddress() + "certificate", "plain.svg": set.PlainAddress() + "daybook"}[r.PathValue("name")]
	if text == "" || len(set.Addresses) == 0 {
		s.notFound(w, r)
		return
	}
	code, err := codeSVG(text)
	if err != nil {
		s.notFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(code)
}

// codeSVG draws a QR code with its quiet border, one square a dot.
func codeSVG(text string) ([]byte, error) {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return nil, err
	}
	dots := code.Bitmap()
	var path strings.Builder
	for y, row := range dots {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h%dv%dH0z"/><path d="%s"/></svg>`,
		len(dots), len(dots), len(dots), len(dots), path.String()), nil
}

// CodeText draws a QR code for a terminal.
func CodeText(text string) (string, error) {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return "", err
	}
	return code.ToSmallString(false), nil
}

// Fingerprint is that of the household's certificate, made if there is none.
func (d *Devices) Fingerprint() (string, error) {
	house, err := openHousehold(d.folder, d.now())
	if err != nil {
		return "", err
	}
	return house.fingerprint(), nil
}
