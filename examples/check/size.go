package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/guardwright/guardwright/calc/power"
	"github.com/guardwright/guardwright/model"
	"github.com/guardwright/guardwright/model/source"
)

// size answers the questions that are asked backwards: how long may a feed be, how thin, how many modules more.
func size(ctx context.Context, o options, stdout, stderr io.Writer) int {
	in, problems := load(o)
	if len(problems) > 0 {
		return refuse(stderr, problems)
	}
	feeds := in.machine.Power.Feeds
	i := slices.IndexFunc(feeds, func(f *model.Feed) bool { return f.Name == o.size })
	if i < 0 {
		fmt.Fprintf(stderr, "check: %v\n", unknownFeed(o.size, feeds))
		return noVerdict
	}
	text, err := sizes(ctx, in.machine, feeds[i])
	if err != nil {
		fmt.Fprintf(stderr, "check: %v\n", err)
		return noVerdict
	}
	return write(stdout, stderr, text)
}

func unknownFeed(name string, feeds []*model.Feed) error {
	var names []string
	for _, f := range feeds {
		names = append(names, f.Name)
	}
	text := fmt.Sprintf("there is no feed %s", name)
	if near, ok := source.Nearest(name, names); ok {
		text += fmt.Sprintf("; did you mean %s?", near)
	} else if len(names) > 0 {
		text += "; there are " + list(names, 4)
	}
	return fmt.Errorf("%s", text)
}

// sizes asks the three questions about a feed.
func sizes(ctx context.Context, m *model.Machine, f *model.Feed) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "Sizes of feed %s to %s, everything else as described\n", f.Name, f.To.Origin().Name)
	if f.Cable != nil {
		fmt.Fprintf(&b, "described: %s of %s, %s\n", f.Cable.Length, f.Cable.Cable.Name, f.Cable.Cable.Section)
		longest, err := power.LongestRun(ctx, m, f)
		if err != nil {
			return "", err
		}
		// Rounded down to the millimetre, so that the printed length still holds.
		printSize(&b, "longest run", longest, func(l model.Length) string {
			return model.Millimetres(float64(int64(float64(l) * 1000))).String()
		})
		thinnest, err := power.SmallestSection(ctx, m, f)
		if err != nil {
			return "", err
		}
		printSize(&b, "smallest cross-section", thinnest, model.CrossSection.String)
	}
	if f.To.Module != nil {
		more, err := power.FurtherModules(ctx, m, f)
		if err != nil {
			return "", err
		}
		printSize(&b, "further modules", more, func(n int) string { return fmt.Sprint(n) })
	}
	b.WriteString("\nThese sizes support, and do not replace, the judgement of a competent person. They keep the limits that\n" +
		"the description states; what could not be decided is not among them.\n")
	return b.String(), nil
}

// printSize prints one size with the limit that governs it.
func printSize[T any](b *strings.Builder, what string, s *power.Sized[T], show func(T) string) {
	switch {
	case !s.Found:
		fmt.Fprintf(b, "\n%s: none; as described a limit is exceeded already\n", what)
	case !s.Bounded:
		fmt.Fprintf(b, "\n%s: %s, the end of the search; no limit was met\n", what, show(s.Value))
	default:
		fmt.Fprintf(b, "\n%s: %s\n", what, show(s.Value))
	}
	if g := s.Governs; g != nil {
		fmt.Fprintf(b, "  governed by: %s at %s\n", g.Name, itemPlace(*g))
		if g.Limits != "" {
			fmt.Fprintf(b, "  limit: %s (%s)\n", g.Limit, g.Limits)
		}
	}
	if n := len(s.Elsewhere); n > 0 {
		fmt.Fprintf(b, "  exceeded whatever the answer, and so left out: %s, the first: %s at %s\n", plural(n, "limit", "limits"), s.Elsewhere[0].Name, itemPlace(s.Elsewhere[0]))
	}
	if n := len(s.Undecided); n > 0 {
		fmt.Fprintf(b, "  not decided, and so not kept: %s, the first: %s at %s\n", plural(n, "limit", "limits"), s.Undecided[0].Name, itemPlace(s.Undecided[0]))
	}
}

func itemPlace(i power.Item) string {
	if i.Circuit != "" {
		return i.Place.Path + ", " + string(i.Circuit)
	}
	return i.Place.Path
}
