package main

import (
	"context"
	"errors"

	"headtally/domain"
	"headtally/domain/planning"
)

var errPending = errors.New("pending")

func runDemo(context.Context, surroundings, []string) error       { return errPending }
func runWorkbook(context.Context, surroundings, []string) error   { return errPending }
func runImport(context.Context, surroundings, []string) error     { return errPending }
func runServe(context.Context, surroundings, []string) error      { return errPending }
func planWorkbook(surroundings, string, domain.Day, string) error { return errPending }
func promiseFromBook(context.Context, surroundings, string, domain.Day, string, planning.Line) error {
	return errPending
}
