//go:build !linux

package store

func playScene(string, string) {}
