package annotate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFold(t *testing.T) {
	note := func(id, text string) *Marker { return &Marker{ID: id, Step: "cortex", Note: text} }
	journal := []Edit{
		{Seq: 1, Changes: []Change{
			{Thing: ThingMarker, ID: "b", Marker: note("b", "one")},
			{Thing: ThingMarker, ID: "a", Marker: note("a", "one")},
			{Thing: ThingAcceptance, ID: "a", Acceptance: &Acceptance{Reason: "the same id in another kind"}},
		}},
		{Seq: 2, Changes: []Change{{Thing: ThingMarker, ID: "a", Base: 1, Marker: note("a", "two")}}},
		{Seq: 3, Changes: []Change{{Thing: ThingMarker, ID: "b", Base: 1}}},
		{Seq: 4, Changes: []Change{{Thing: ThingEvent, ID: "e", Event: &Event{Kind: "view-lost"}}}},
	}
	state := Fold(Reading{ID: "r", Seq: 99}, journal)
	require.Equal(t, ReadingState{
		Reading: Reading{ID: "r", Seq: 4},
		Markers: []Marker{{ID: "a", Seq: 2, Step: "cortex", Note: "two"}},
		Events:  []Event{{ID: "e", Seq: 4, Kind: "view-lost"}}, Comments: []Comment{},
		Acceptances: []Acceptance{{ID: "a", Seq: 1, Reason: "the same id in another kind"}},
	}, state)
	require.Equal(t, int64(0), journal[0].Changes[0].Marker.Seq, "the journal itself is left alone")
	require.Equal(t, state, Fold(Reading{ID: "r"}, journal), "folding twice gives the same")
}

func TestDifferences(t *testing.T) {
	before, after := goodCase(), goodCase()
	require.Empty(t, Differences(before, after))
	after.Revision, after.Change, after.UpdatedAt = 9, 9, 9
	require.Empty(t, Differences(before, after), "what the server counts is no change of a person's")
	after.Before.Age = pointer(70)
	after.SharedWith = []string{"c", "d"}
	require.Equal(t, `[{"field":"before.age","before":null,"after":70},{"field":"sharedWith","before":["c"],"after":["c","d"]}]`,
		detail(Differences(before, after)))
	removed := Differences(Complication{ID: "a", Kind: "uveitis"}, nil)
	require.Contains(t, removed, Difference{Field: "kind", Before: "uveitis", After: nil})
	require.Equal(t, []Difference{{Field: "", Before: "ok", After: "missing"}}, Differences(PartOK, PartMissing))
}

func TestAuditChain(t *testing.T) {
	entry := AuditEntry{Seq: 1, At: 2, ActorID: "a", Action: "case.view", CaseID: "c", ThingID: "t", Detail: "d", RequestID: "r", PrevHash: "p"}
	// printf '{"seq":1,"at":2,"actorId":"a","action":"case.view","caseId":"c","thingId":"t","detail":"d","requestId":"r","prevHash":"p","hash":""}' | sha256sum
	require.Equal(t, auditVector, entry.chained())
	changed := []AuditEntry{entry, entry, entry, entry, entry, entry, entry, entry, entry}
	changed[0].Seq, changed[1].At, changed[2].ActorID, changed[3].Action, changed[4].CaseID = 9, 9, "9", "9", "9"
	changed[5].ThingID, changed[6].Detail, changed[7].RequestID, changed[8].PrevHash = "9", "9", "9", "9"
	for i, other := range changed {
		require.NotEqual(t, entry.chained(), other.chained(), "field %d is not covered", i)
	}
	entry.Hash = "anything"
	require.Equal(t, auditVector, entry.chained(), "the hash does not cover itself")
}

// auditVector was computed by sha256sum of GNU coreutils over the line above.
const auditVector = "3ac9c58427327cd1645323a4971340efec291a268f2250aca54bd20a2d313ad5"
