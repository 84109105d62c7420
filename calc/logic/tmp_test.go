package logic

import (
	"fmt"
	"testing"
)

func TestTmp(t *testing.T) {
	p := newPlant(1, plant{dual: true})
	pr := &prover{ctx: t.Context(), s: p.System, props: p.locals(), limits: Limits{}.orDefault()}
	pr.compile()
	pr.ask()
	pr.clusterAssumptions()
	jobs := pr.jobs(pr.open(levelExact), levelExact)
	pr.solve(jobs)
	for _, j := range jobs {
		fmt.Println(len(j.questions), len(j.cone.Inputs), len(j.cone.Latches), len(j.cone.Ands), j.out.Letters, j.out.States)
		for _, n := range j.cone.Inputs {
			fmt.Print(pr.s.g.signals[pr.c.sourceOf(n).signal].name, " ")
		}
		fmt.Println()
	}
}
