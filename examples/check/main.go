// Check is the command that an engineer runs on a machine file: it computes the machine, asks the built-in rules and
// the plant's own, and prints numbers, margins and findings.
//
//	go run ./examples/check                                    # the demo machine
//	go run ./examples/check machine.yaml
//	go run ./examples/check --rules plant.yaml --show all machine.yaml
//	go run ./examples/check --rules plant.yaml --test
//
// It shows how a program uses the library: load, check, report. Its flags and exit codes are those that --help prints.
//
// # Caution
//
// What it prints supports, and does not replace, risk assessment, validation, the local codes and the judgement of a
// competent person.
package main

import (
	"context"
	"os"
	"os/signal"
	"time"

	"github.com/guardwright/guardwright/model"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr, hostEnvironment())
	stop()
	os.Exit(code)
}

// environment is what the command takes from around it, so that tests can give it.
type environment struct {
	getenv func(name string) string
	// terminal is true when the output goes to a person's screen.
	terminal bool
	today    model.Date
}

func hostEnvironment() environment {
	now := time.Now()
	info, err := os.Stdout.Stat()
	return environment{
		getenv:   os.Getenv,
		terminal: err == nil && info.Mode()&os.ModeCharDevice != 0,
		today:    model.Date{Year: now.Year(), Month: int(now.Month()), Day: now.Day()},
	}
}
