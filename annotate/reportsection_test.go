package annotate_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestReportSectionsOfTheUnit(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		u := annotatetest.NewUnit(t, address)
		unit, err := u.Unit(t.Context())
		require.NoError(t, err)
		require.Equal(t, []string{}, unit.ReportSections, "all in the usual order")
		for name, bad := range map[string][]string{
			"no signature":  {"eye", "missing", "cautions"},
			"one twice":     {"eye", "missing", "cautions", "signature", "eye"},
			"one not known": {"eye", "missing", "cautions", "signature", "logo"},
		} {
			changed := unit
			changed.ReportSections = bad
			_, err := u.PutUnit(t.Context(), u.Admin, changed)
			require.Error(t, err, name)
			refused(t, annotate.CodeInvalid, err)
		}
		chosen := []string{"findings", "eye", "missing", "cautions", "signature"}
		unit.ReportSections = chosen
		unit, err = u.PutUnit(t.Context(), u.Admin, unit)
		require.NoError(t, err)
		unit.ReportSections = nil
		unit.Name = "Another name"
		unit, err = u.PutUnit(t.Context(), u.Admin, unit)
		require.NoError(t, err)
		require.Equal(t, chosen, unit.ReportSections, "a change that leaves it out keeps it")
		read, err := u.Unit(t.Context())
		require.NoError(t, err)
		require.Equal(t, unit, read)
		for _, section := range annotate.ReportSections {
			read.ReportSections = append(read.ReportSections, section.Code)
		}
		read.ReportSections = read.ReportSections[len(chosen):]
		read, err = u.PutUnit(t.Context(), u.Admin, read)
		require.NoError(t, err)
		require.Equal(t, []string{}, read.ReportSections, "the usual order is no choice")
	})
}
