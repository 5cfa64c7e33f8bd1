package annotate_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"zonule/annotate"
	"zonule/annotate/annotatetest"
)

func TestTheRecordOfAnItem(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		g.begin(t)
		record := annotate.ItemRecord{
			Discussion: "The chamber was shallow before it.", Harm: "moderate", Preventability: "probably",
			Factors:  []annotate.Factor{{Family: "task", Text: "No second instrument ready"}},
			Learning: []annotate.LearningPoint{{Text: "Stop and fill the chamber.", MomentID: g.item.Pack.Moments[1].ID}},
		}
		first, err := g.PutItemRecord(t.Context(), g.Stranger, g.meeting.ID, g.item.ID, record)
		require.NoError(t, err)
		require.Equal(t, []any{int64(1), g.Stranger.ID}, []any{first.Revision, first.WrittenBy})
		again, err := g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, record)
		require.NoError(t, err, "the same text sent twice counts once")
		require.Equal(t, first, again)
		other := record
		other.Discussion = "Something else."
		stale := refused(t, annotate.CodeStale, errOf(g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, other)))
		require.Equal(t, "Something else.", stale.Yours.(annotate.ItemRecord).Discussion)
		require.Equal(t, first, stale.Theirs)
		_, err = g.PutItemRecord(t.Context(), g.Clinic, g.meeting.ID, g.item.ID, first)
		require.NoError(t, firstNotForbidden(err))

		for field, spoil := range map[string]func(*annotate.ItemRecord){
			"factors[0].family": func(r *annotate.ItemRecord) { r.Factors = []annotate.Factor{{Family: "luck"}} },
			"harm":              func(r *annotate.ItemRecord) { r.Harm = "some" },
			"preventability":    func(r *annotate.ItemRecord) { r.Preventability = "perhaps" },
			"discussion":        func(r *annotate.ItemRecord) { r.Discussion = "Mr Surgeon was tired" },
			"learning[0].text":  func(r *annotate.ItemRecord) { r.Learning = []annotate.LearningPoint{{Text: "See " + distinctive}} },
		} {
			bad := first
			spoil(&bad)
			require.Equal(t, field, refused(t, annotate.CodeInvalid, errOf(g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, bad))).Fields[0].Field)
		}

		_, err = g.SetMeetingState(t.Context(), g.Chair, g.meeting.ID, annotate.MeetingClosed)
		require.NoError(t, err)
		late := first
		late.Discussion += " Late."
		refused(t, annotate.CodeForbidden, errOf(g.PutItemRecord(t.Context(), g.Stranger, g.meeting.ID, g.item.ID, late)))
		_, err = g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, late)
		require.NoError(t, err, "the chair corrects it")
		g.nobodyIn(t, g.sheet(t, g.Clinic))
		verified(t, g.Unit)
	})
}

// firstNotForbidden is nil for a refusal of the right.
func firstNotForbidden(err error) error {
	if annotate.CodeOf(err) == annotate.CodeForbidden {
		return nil
	}
	return fmt.Errorf("not refused for want of right: %w", err)
}

// Several people write at once, each reading both versions when refused and sending theirs again: every edit that was
// acknowledged is in the end there, and people at different items never meet.
func TestNoAcknowledgedEditOfARecordIsLost(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		topic, err := g.PutMeetingItem(t.Context(), g.Chair, g.meeting.ID, annotate.AgendaItem{ID: "topic", Kind: annotate.ItemTopic, Title: "Lists", Minutes: 5})
		require.NoError(t, err)
		var writers sync.WaitGroup
		for n := range 4 {
			writers.Go(func() {
				var record annotate.ItemRecord
				for i := 0; i < 5; {
					mine := record
					mine.Discussion += fmt.Sprintf("[%d.%d]", n, i)
					kept, err := g.PutItemRecord(t.Context(), g.Chair, g.meeting.ID, g.item.ID, mine)
					var refusal *annotate.Error
					if errors.As(err, &refusal) && refusal.Code == annotate.CodeStale {
						record = refusal.Theirs.(annotate.ItemRecord)
						continue
					}
					if err != nil {
						t.Error(err)
						return
					}
					record, i = kept, i+1
				}
			})
		}
		writers.Go(func() {
			var record annotate.ItemRecord
			for i := range 5 {
				record.Discussion += fmt.Sprintf("<%d>", i)
				kept, err := g.PutItemRecord(t.Context(), g.Stranger, g.meeting.ID, topic.ID, record)
				if err != nil {
					t.Error(err)
					return
				}
				record = kept
			}
		})
		writers.Wait()
		agenda := g.sheet(t, g.Chair).Agenda
		for n := range 4 {
			for i := range 5 {
				require.Contains(t, agenda[1].Record.Discussion, fmt.Sprintf("[%d.%d]", n, i))
			}
		}
		require.EqualValues(t, 20, agenda[1].Record.Revision)
		require.Equal(t, "<0><1><2><3><4>", agenda[2].Record.Discussion)
		verified(t, g.Unit)
	})
}

func TestVotesTellNobody(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		vote := func(actor annotate.Actor, value string) (annotate.ItemVote, error) {
			return g.Vote(t.Context(), actor, g.meeting.ID, g.item.ID, annotate.VotePreventability, value)
		}
		_, err := g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VotePreventability, true)
		refused(t, annotate.CodeForbidden, err)
		g.begin(t)
		_, err = vote(g.Clinic, "clearly")
		refused(t, annotate.CodeForbidden, err)
		_, err = g.SetVoting(t.Context(), g.Stranger, g.meeting.ID, g.item.ID, annotate.VotePreventability, true)
		refused(t, annotate.CodeForbidden, err)
		opened, err := g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VotePreventability, true)
		require.NoError(t, err)
		require.True(t, opened.Open)
		_, err = vote(g.Surgeon, "clearly")
		refused(t, annotate.CodeNotFound, err)
		_, err = vote(g.Clinic, "certainly")
		refused(t, annotate.CodeInvalid, err)
		own, err := vote(g.Clinic, "clearly")
		require.NoError(t, err)
		require.Equal(t, annotate.ItemVote{Question: annotate.VotePreventability, Open: true, Voted: 1, Own: true, Counts: []annotate.VoteCount{}, Why: own.Why}, own)
		_, err = vote(g.Clinic, "not")
		refused(t, annotate.CodeForbidden, err)
		_, err = vote(g.Stranger, "clearly")
		require.NoError(t, err)
		require.Empty(t, g.sheet(t, g.Chair).Agenda[1].Votes[0].Counts, "no counts while it is open")

		_, err = g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VoteHarm, true)
		require.NoError(t, err)
		_, err = vote(g.Chair, "probably")
		require.NoError(t, err)
		closed, err := g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VotePreventability, false)
		require.NoError(t, err)
		require.Equal(t, []annotate.VoteCount{{Value: "not"}, {Value: "probably-not"}, {Value: "probably", Count: 1}, {Value: "clearly", Count: 2}}, closed.Counts)
		_, err = g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VotePreventability, true)
		refused(t, annotate.CodeForbidden, err)
		_, err = g.Vote(t.Context(), g.Clinic, g.meeting.ID, g.item.ID, annotate.VoteHarm, "low")
		require.NoError(t, err)
		few, err := g.SetVoting(t.Context(), g.Chair, g.meeting.ID, g.item.ID, annotate.VoteHarm, false)
		require.NoError(t, err)
		require.Empty(t, few.Counts, "one vote would tell whose it is")
		require.NoError(t, g.Store.Read(t.Context(), func(tx annotate.Tx) error {
			entries, err := tx.AuditAfter(t.Context(), 0, 1000)
			for _, entry := range entries {
				if entry.Action == "meeting.vote" {
					require.Empty(t, entry.Detail, "what was voted is in no log")
				}
			}
			return err
		}))
		verified(t, g.Unit)
	})
}

func TestRemarks(t *testing.T) {
	annotatetest.OnBoth(t, func(t *testing.T, address string) {
		g := gather(t, address)
		remark := annotate.Remark{ID: "remark", ItemID: g.item.ID, Text: "Was the bottle low?"}
		_, err := g.PutRemark(t.Context(), g.Clinic, g.meeting.ID, remark)
		refused(t, annotate.CodeForbidden, err)
		g.begin(t)
		kept, err := g.PutRemark(t.Context(), g.Clinic, g.meeting.ID, remark)
		require.NoError(t, err)
		require.Equal(t, g.Clinic.ID, kept.AuthorID)
		g.Clock.Move(time.Minute)
		remark.Text = "Was the bottle too low?"
		changed, err := g.PutRemark(t.Context(), g.Clinic, g.meeting.ID, remark)
		require.NoError(t, err)
		require.Equal(t, kept.MadeAt, changed.MadeAt)
		_, err = g.PutRemark(t.Context(), g.Stranger, g.meeting.ID, remark)
		refused(t, annotate.CodeNotFound, err)
		require.Equal(t, []annotate.Remark{changed}, g.sheet(t, g.Stranger).Remarks)
		verified(t, g.Unit)
	})
}
