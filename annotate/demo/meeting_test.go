package demo

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
)

// TestMeetingsTalkOfWhatHappened: whatever the day, each case of a meeting was operated before it, may be shown and has the
// complication that is talked about; something is agreed that the next meeting finds done.
func TestMeetingsTalkOfWhatHappened(t *testing.T) {
	kinds := map[string]string{}
	for _, talk := range talks {
		kinds[talk.title] = talk.kind
	}
	all := films(t)
	held, done, days := 0, 0, 60
	for n := range days {
		options := Options{Seed: uint64(1 + n), Today: today.AddDate(0, 0, n), Cases: 240, Films: all}
		unit := Invent(options)
		require.Equal(t, unit.Meetings(options), unit.Meetings(options))
		records := map[string]Record{}
		for _, record := range unit.Records {
			records[record.Case.ID] = record
		}
		discussed := map[string]bool{}
		for _, meeting := range unit.Meetings(options) {
			held++
			require.Less(t, meeting.Meeting.Date, options.Today.Format(time.DateOnly))
			require.LessOrEqual(t, len(meeting.Cases), discussedAtOnce)
			for _, one := range meeting.Cases {
				record := records[one.CaseID]
				require.False(t, discussed[one.CaseID], "a case is discussed once")
				discussed[one.CaseID] = true
				require.Less(t, record.Case.Date, meeting.Meeting.Date)
				require.True(t, record.Case.Showable())
				require.LessOrEqual(t, len(one.Votes), len(meeting.Meeting.Attendees))
				require.Condition(t, func() bool {
					for _, complication := range record.Complications {
						if complication.Kind == kinds[one.Item.Title] {
							return true
						}
					}
					return false
				})
				for _, agreed := range one.Agreed {
					require.Equal(t, annotate.ActionOpen, agreed.Action.State)
					if agreed.Evidence != "" && agreed.DoneAt < options.Today.UnixMilli() {
						done++
					}
				}
			}
		}
	}
	require.Greater(t, held, days, "most units have held both meetings")
	require.Greater(t, done, days/3)
}
