package main

import (
	"errors"

	"henyear/measure"
	"henyear/source"
)

var rooms = []func() ([]source.Check, error){}

type planCommand struct {
	File string       `arg:"" help:"The holding file; - for standard input."`
	AsOf measure.Date `name:"as-of" placeholder:"DATE" help:"The day."`
}

func (planCommand) Run() error { return errors.New("planning is not in this build") }

type breedsCommand struct {
	File string `arg:"" help:"The holding file; - for standard input."`
}

func (breedsCommand) Run() error { return errors.New("planning is not in this build") }

type serveCommand struct{}

func (serveCommand) Run() error { return errors.New("pages are not in this build") }

type demoCommand struct {
	Port      int
	PrintOnly bool
}

func (demoCommand) Run() error { return errors.New("pages are not in this build") }

type exampleCommand struct{}

func (exampleCommand) Run() error { return errors.New("examples are not in this build") }

type solveChildCommand struct{}

func (solveChildCommand) Run() error { return errors.New("solving is not in this build") }
