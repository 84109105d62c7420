package record_test

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/guardwright/guardwright/rules/record"
)

// The gate was opened somewhere between the rows at 18 ms and 23 ms. Nobody knows whether that was before or after the cycle at
// 20 ms, so its value is unknown there.
func ExampleOpen() {
	mapping, err := record.ParseMapping("trace.yaml", []byte(`format: 1
record: Gate, by hand
signals: {"I0.3": g1.closed}
is_true: [closed]
is_false: [open]
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	trace := "time [ms];I0.3\n0;closed\n10;closed\n18;closed\n23;open\n30;open\n"
	r, err := record.Open(strings.NewReader(trace), "trace.csv", mapping, []record.Signal{{Name: "g1.closed"}}, 10*time.Millisecond)
	if err != nil {
		fmt.Println(err)
		return
	}
	for {
		c, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(r.Text(c.Time), map[int64]string{-1: "not known", 0: "open", 1: "closed"}[max(-1, int64(c.Values[0]))])
	}
	fmt.Println("unknown because of a change between rows:", r.Count().Between)
	// Output:
	// 0 s closed
	// 0.01 s closed
	// 0.02 s not known
	// 0.03 s open
	// unknown because of a change between rows: 1
}
