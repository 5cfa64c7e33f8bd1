package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/server/report"
)

// BenchmarkPDF writes the longest report of the cast, with all fonts.
func BenchmarkPDF(b *testing.B) {
	r := report.Build(eventful(b), report.Options{})
	for b.Loop() {
		_, err := report.PDF(r, cast[0].edition)
		require.NoError(b, err)
	}
}
