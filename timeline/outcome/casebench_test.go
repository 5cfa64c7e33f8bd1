package outcome

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/timeline/cohort"
)

// BenchmarkCaseLevel tells one case beside a department's year and a national quarter.
func BenchmarkCaseLevel(b *testing.B) {
	for _, n := range []int{5_000, 100_000} {
		rows := planted{seed: 1, cases: n, operators: 40, perMinute: 0.01, counting: true}.rows()
		rows[0].Complications = []cohort.Mishap{{Kind: "posterior-capsule-rupture", Step: "cortex"}}
		all := make([]*cohort.Row, len(rows))
		for i := range rows {
			all[i] = &rows[i]
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				require.NotNil(b, CaseLevel(all, all[0], nil).Loss)
			}
		})
	}
}
