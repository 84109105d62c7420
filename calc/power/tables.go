package power

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/guardwright/guardwright/model"
)

//go:embed tables/*.csv
var tableFiles embed.FS

// tables are the tables of the standards, parsed from the embedded files. Each file has columns that say where its
// numbers come from and how they are known.
type tables struct {
	class5 []class5Row

	iecCurrent  []currentRow
	iecAmbient  []ratioRow
	iecGrouping []groupingRow
	iecCores    []coresRow

	nfpaCurrent []gaugeRow
	nfpaAmbient []ratioRow
	nfpaCores   []ratioRow

	breakerTime []breakerRow
	breakerBand []bandRow
}

// class5Row is the greatest resistance of a plain copper conductor of class 5 (IEC 60228).
type class5Row struct {
	section    model.CrossSection
	resistance model.ResistancePerLength
}

// currentRow is the ampacity of a cross-section by method of installation; NaN where the table has no figure.
type currentRow struct {
	section      model.CrossSection
	b1, b2, c, e model.Current
}

// gaugeRow is the ampacity of a wire gauge, by the cross-section of that gauge.
type gaugeRow struct {
	section model.CrossSection
	current model.Current
}

// ratioRow is a factor at a temperature or a number.
type ratioRow struct {
	at     float64
	factor model.Ratio
}

type groupingRow struct {
	circuits         int
	b, c, e, ofPairs model.Ratio
}

type coresRow struct {
	loaded              int
	conductors, ofPairs model.Ratio
}

// breakerRow is a point of the thermal part of a breaker's curve; a time is NaN where the point says nothing of it.
type breakerRow struct {
	from, to     model.Current // rated currents above from, up to to
	times        float64
	holds, opens model.Duration
}

// bandRow is the instantaneous band of a breaker.
type bandRow struct {
	characteristic model.Characteristic
	holds, opens   float64
	time           model.Duration
}

// loadTables parses the embedded tables.
func loadTables() (*tables, error) {
	t := &tables{}
	readers := []struct {
		name string
		row  func(r *record)
	}{
		{"class5_copper", func(r *record) {
			t.class5 = append(t.class5, class5Row{model.CrossSection(r.number()), model.OhmsPerKilometre(r.number())})
		}},
		{"iec60204_current", func(r *record) {
			t.iecCurrent = append(t.iecCurrent, currentRow{model.CrossSection(r.number()),
				model.Current(r.number()), model.Current(r.number()), model.Current(r.number()), model.Current(r.number())})
		}},
		{"iec60204_ambient", func(r *record) { t.iecAmbient = append(t.iecAmbient, r.ratio()) }},
		{"iec60204_grouping", func(r *record) {
			t.iecGrouping = append(t.iecGrouping, groupingRow{r.count(),
				model.Ratio(r.number()), model.Ratio(r.number()), model.Ratio(r.number()), model.Ratio(r.number())})
		}},
		{"iec60204_cores", func(r *record) {
			t.iecCores = append(t.iecCores, coresRow{r.count(), model.Ratio(r.number()), model.Ratio(r.number())})
		}},
		{"nfpa79_current", func(r *record) {
			section, err := model.AWG(r.count())
			r.fail(err)
			t.nfpaCurrent = append(t.nfpaCurrent, gaugeRow{section, model.Current(r.number())})
		}},
		{"nfpa79_ambient", func(r *record) { t.nfpaAmbient = append(t.nfpaAmbient, r.ratio()) }},
		{"nfpa79_cores", func(r *record) { t.nfpaCores = append(t.nfpaCores, r.ratio()) }},
		{"breaker_time", func(r *record) {
			t.breakerTime = append(t.breakerTime, breakerRow{model.Current(r.number()), model.Current(r.number()), r.number(),
				model.Duration(r.number()), model.Duration(r.number())})
		}},
		{"breaker_band", func(r *record) {
			t.breakerBand = append(t.breakerBand, bandRow{model.Characteristic(r.text()), r.number(), r.number(), model.Duration(r.number())})
		}},
	}
	for _, reader := range readers {
		if err := readTable("tables/"+reader.name+".csv", reader.row); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// readTable calls row for each record of an embedded file, the heading left out.
func readTable(name string, row func(*record)) error {
	file, err := tableFiles.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.ReuseRecord = true
	for line := 1; ; line++ {
		fields, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if line == 1 {
			continue
		}
		r := &record{fields: fields}
		if row(r); r.err != nil {
			return fmt.Errorf("%s:%d: %w", name, line, r.err)
		}
	}
}

// record hands out the fields of one line in turn and keeps the first error.
type record struct {
	fields []string
	next   int
	err    error
}

func (r *record) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

func (r *record) text() string {
	if r.next >= len(r.fields) {
		r.fail(errors.New("too few fields"))
		return ""
	}
	r.next++
	return r.fields[r.next-1]
}

// number reads a number; an empty field is NaN.
func (r *record) number() float64 {
	text := r.text()
	if text == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(text, 64)
	r.fail(err)
	return x
}

func (r *record) count() int {
	n, err := strconv.Atoi(r.text())
	r.fail(err)
	return n
}

func (r *record) ratio() ratioRow { return ratioRow{r.number(), model.Ratio(r.number())} }
