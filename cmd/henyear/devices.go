package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"henyear/web"
)

// devicesCommand lets phones and other computers of the household in, or keeps
// them out. It works on the settings in the data folder; pages that are open
// follow within a second.
type devicesCommand struct {
	On   devicesOnCommand   `cmd:"" help:"Let other devices in, with a passphrase."`
	Off  devicesOffCommand  `cmd:"" help:"Keep other devices out and sign them all out."`
	Show devicesShowCommand `cmd:"" help:"Say whether other devices come in, and where."`
}

type devicesOnCommand struct {
	Address []string `placeholder:"IP" help:"An address of this computer within the house to answer on; all of them when left out."`
	Port    int      `default:"${deviceport}" help:"The encrypted port; the next one shows the certificate (${default})."`
	Plain   bool     `help:"Also let devices in without encryption. Away from the house their page cannot be opened again once it is closed, and whoever shares the network can read along."`
	Helper  bool     `help:"Ask for a second passphrase, for helpers who may only write records."`
	Data    string   `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run asks for the passphrases and lets other devices in.
func (c devicesOnCommand) Run(t terminal) error {
	devices, err := openDevices(c.Data)
	if err != nil {
		return err
	}
	set := devices.Settings()
	answers := bufio.NewReader(t.in)
	keeper, helper := "", ""
	again := "; empty keeps the one that is set"
	if set.Keeper == "" {
		again = ", at least ten letters; four or five words are good"
	}
	if keeper, err = askSecret(t, answers, "Passphrase of the keeper"+again); err != nil {
		return err
	}
	if c.Helper {
		if helper, err = askSecret(t, answers, "Passphrase for helpers, another one"); err != nil {
			return err
		}
	}
	err = devices.Change(func(s *web.DeviceSettings) error {
		s.On, s.Port, s.Plain, s.Addresses = true, c.Port, c.Plain, c.Address
		if len(s.Addresses) == 0 {
			s.Addresses = web.PrivateAddresses()
		}
		return s.SetPassphrases(keeper, helper)
	})
	if err != nil {
		return badInput{err}
	}
	return showDevices(t, devices)
}

type devicesOffCommand struct {
	Data string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run keeps other devices out.
func (c devicesOffCommand) Run(t terminal) error {
	devices, err := openDevices(c.Data)
	if err != nil {
		return err
	}
	err = devices.Change(func(s *web.DeviceSettings) error {
		s.On = false
		return nil
	})
	if err != nil {
		return err
	}
	fmt.Fprintln(t.out, "Other devices are kept out and signed out. Records that still wait on a phone stay there until it comes in again.")
	return nil
}

type devicesShowCommand struct {
	Data string `placeholder:"DIR" help:"The folder that keeps your holding and records, instead of this user's usual one."`
}

// Run tells where other devices come in.
func (c devicesShowCommand) Run(t terminal) error {
	devices, err := openDevices(c.Data)
	if err != nil {
		return err
	}
	return showDevices(t, devices)
}

func openDevices(named string) (*web.Devices, error) {
	folder, err := dataFolder(named)
	if err != nil {
		return nil, err
	}
	devices, err := web.OpenDevices(folder, time.Now)
	if err != nil {
		return nil, badInput{err}
	}
	return devices, nil
}

func showDevices(t terminal, devices *web.Devices) error {
	set := devices.Settings()
	if !set.On {
		fmt.Fprintln(t.out, "Other devices are kept out. Let them in with: henyear devices on")
		return nil
	}
	fingerprint, err := devices.Fingerprint()
	if err != nil {
		return badInput{err}
	}
	first, second := set.PlainAddress()+"certificate", set.SecureAddress()+"daybook"
	fmt.Fprintf(t.out, "Other devices come in while the pages are open (henyear serve).\n\n1. Each phone, once, installs the certificate of this household:\n   %s\n", first)
	if err := printCode(t.out, first); err != nil {
		return err
	}
	fmt.Fprintf(t.out, "   Its SHA-256 fingerprint, to hold against the phone's:\n   %s\n\n2. Then it opens the daybook and signs in:\n   %s\n", fingerprint, second)
	if err := printCode(t.out, second); err != nil {
		return err
	}
	if set.Plain {
		fmt.Fprintf(t.out, "\nWithout encryption, for a phone that cannot install the certificate: %sdaybook\nAway from the house that page cannot be opened again once it is closed.\n", set.PlainAddress())
	}
	if set.Helper == "" {
		fmt.Fprintln(t.out, "\nHelpers have no passphrase; set one with: henyear devices on --helper")
	}
	return nil
}

func printCode(w io.Writer, text string) error {
	code, err := web.CodeText(text)
	if err == nil {
		_, err = io.WriteString(w, code)
	}
	return err
}

// askSecret asks for a passphrase, twice at a terminal, where it is not shown as
// far as the terminal can hide it.
func askSecret(t terminal, answers *bufio.Reader, what string) (string, error) {
	f, isFile := t.in.(*os.File)
	typed := isFile && isTerminal(f)
	fmt.Fprintf(t.err, "%s: ", what)
	first, err := readSecret(f, typed, answers)
	if typed {
		fmt.Fprintln(t.err)
	}
	if err != nil || first == "" || !typed {
		return first, err
	}
	fmt.Fprint(t.err, "Once more: ")
	second, err := readSecret(f, typed, answers)
	fmt.Fprintln(t.err)
	if err == nil && first != second {
		err = badInput{errors.New("the two passphrases differ; nothing was changed")}
	}
	return first, err
}

func readSecret(f *os.File, typed bool, answers *bufio.Reader) (string, error) {
	if typed {
		defer hideTyping(f)()
	}
	line, err := answers.ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return "", err
	}
	return strings.TrimRight(line, "\r\n"), nil
}
