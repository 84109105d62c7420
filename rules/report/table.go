package report

import "strings"

// column is the heading of a column of a table.
type column struct {
	name  string
	right bool // align to the right, as numbers are
}

// table is a table of texts. Its last column is broken over several lines where it does not fit.
type table struct {
	columns []column
	rows    []row
}

type row struct {
	mark  string // in front of the row
	style style
	cells []string
}

// gap stands between two columns, margin in front of the first.
const (
	gap    = "  "
	margin = 2
)

// write prints the table. A table that does not fit gives the first column a line of its own.
func (t table) write(p *page) {
	widths := t.widths()
	head := make([]string, len(t.columns))
	for i, c := range t.columns {
		head[i] = c.name
	}
	apart := t.total(widths) > p.width
	if apart {
		p.line(span{"  " + head[0], faint})
		head[0], widths[0] = "", margin
	}
	t.put(p, row{style: faint, cells: head}, widths)
	for _, r := range t.rows {
		if apart {
			p.line(span{pad(r.mark, margin, false) + r.cells[0], r.style})
			cells := append([]string{""}, r.cells[1:]...)
			t.put(p, row{style: r.style, cells: cells}, widths)
			continue
		}
		t.put(p, r, widths)
	}
}

func (t table) widths() []int {
	widths := make([]int, len(t.columns))
	for i, c := range t.columns {
		widths[i] = columns(c.name)
		for _, r := range t.rows {
			widths[i] = max(widths[i], columns(r.cells[i]))
		}
	}
	return widths
}

// leastLast is the width below which the last column is not broken.
const leastLast = 16

// total is the least width of the table.
func (t table) total(widths []int) int {
	n := margin
	for i, w := range widths {
		if i == len(widths)-1 {
			w = min(w, leastLast)
		}
		n += w + len(gap)
	}
	return n - len(gap)
}

// put prints one row, over as many lines as its last cell needs.
func (t table) put(p *page, r row, widths []int) {
	last := len(t.columns) - 1
	text := pad(r.mark, margin, false)
	for i := range last {
		text += pad(r.cells[i], widths[i], t.columns[i].right) + gap
	}
	indent := columns(text)
	if t.columns[last].right {
		p.line(span{text + pad(r.cells[last], widths[last], true), r.style})
		return
	}
	for i, l := range wrap(r.cells[last], p.width, indent, indent) {
		if i > 0 {
			text = strings.Repeat(" ", indent)
		}
		p.line(span{text + l, r.style})
	}
}

func pad(text string, width int, right bool) string {
	fill := strings.Repeat(" ", max(0, width-columns(text)))
	if right {
		return fill + text
	}
	return text + fill
}
