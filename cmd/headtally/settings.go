package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"headtally/domain"
)

// errHelp ends a command that was only asked for its settings.
var errHelp = flag.ErrHelp

// settings reads a command's flags, and those left out from the environment
// variables of the same names.
type settings struct {
	*flag.FlagSet
	sh   surroundings
	help func() // says what there is to set
}

func newSettings(sh surroundings, word, usage string) settings {
	fs := flag.NewFlagSet(word, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	help := func() {
		fmt.Fprintf(sh.out, "headtally %s %s\n\n", word, usage)
		seen := flag.NewFlagSet(word, flag.ContinueOnError)
		seen.SetOutput(sh.out)
		fs.VisitAll(func(f *flag.Flag) {
			if f.Name != unseen {
				seen.Var(f.Value, f.Name, f.Usage)
			}
		})
		seen.PrintDefaults()
	}
	return settings{fs, sh, help}
}

// read parses args, flags and files in any order, and gives the files. Every
// fault of the environment is told at once.
func (s settings) read(args []string) (files []string, err error) {
	for len(args) > 0 {
		if err := s.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				s.help()
				return nil, errHelp
			}
			return nil, exits{refused, fmt.Errorf("%w\nsee headtally %s --help", err, s.Name())}
		}
		if s.NArg() == 0 {
			break
		}
		files, args = append(files, s.Arg(0)), s.Args()[1:]
	}
	given := map[string]bool{}
	s.Visit(func(f *flag.Flag) { given[f.Name] = true })
	var faults []error
	s.VisitAll(func(f *flag.Flag) {
		name := "HEADTALLY_" + strings.ToUpper(strings.ReplaceAll(f.Name, "-", "_"))
		if v := s.sh.getenv(name); v != "" && !given[f.Name] {
			if err := s.Set(f.Name, v); err != nil {
				faults = append(faults, fmt.Errorf("%s: %w", name, err))
			}
		}
	})
	if len(faults) > 0 {
		return nil, exits{refused, errors.Join(faults...)}
	}
	return files, nil
}

// dayFlag is a flag that holds a day.
type dayFlag struct{ day *domain.Day }

func (f dayFlag) String() string {
	if f.day == nil {
		return ""
	}
	return f.day.String()
}

func (f dayFlag) Set(text string) (err error) {
	*f.day, err = domain.ParseDay(text)
	return err
}

// asOf is the flag --as-of: the day something is done as of, and which one is
// taken where none is told.
func (s settings) asOf(leftOut string) *domain.Day {
	day := new(domain.Day)
	s.Var(dayFlag{day}, "as-of", "the `DAY` it is done as of, YYYY-MM-DD; left out: "+leftOut)
	return day
}

// today is the day that most commands take where none is told.
const today = "today on the farm's clock"

// defaultData is the folder of the book for a program started without a word.
func defaultData() string {
	if dir, err := os.UserConfigDir(); err == nil {
		return filepath.Join(dir, "headtally")
	}
	return "headtally-data"
}
