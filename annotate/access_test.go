package annotate

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// rights is the whole of who may do what, written out a second time by hand: a letter for each action of CaseActions and
// UnitActions in their order, "." where it is refused.
//
//	v case.view  e case.edit  s case.share  r recording.view  R recording.edit  g reading.view  m reading.mark
//	c reading.comment  a reading.accept  o outcome.edit  p report.view  S report.sign  d report.addendum
//	C case.create  b media.browse  u user.manage  U unit.edit  L step-list.edit  B bundle.use
//	q case.discuss  i inbox.view  E inbox.edit  M meeting.plan
//	f finding.edit
//	w assessment.view  j case.assess  F assessment-form.edit
//	I intake.use  y unit.summary  Y unit.sums  x compare.use  X monitoring.review  k study.use
const letters = "vesrRgmcaopSdfwjqCbuULBIyYFxXkiEM"

var rights = map[Relation]map[Role]string{
	RelationOperator: {
		RoleSurgeon: "vesrRgmcaopSdfwjqCb....Iy..xXk...", RoleTrainee: "vesrRgmcaopSdfwjqCb....Iy..x.k...", RoleTrainer: "vesrRgmcaopSdfwjqCb....IyYFxXki..",
		RoleChair: "vesrRgmcaopSdfwjq.......yY.xXkiEM", RoleMember: "vesrRgmcaopSdfwjq.......y..x.k...", RoleClinic: "vesrRgmcaopSdfwjq......IyY.x.k...",
		RoleAdministrator: "...................uUL....F......",
	},
	RelationSupervisor: {
		RoleSurgeon: "vesrRgmcaopSdfwjqCb....Iy..xXk...", RoleTrainee: "vesrRgmcaopSdfwjqCb....Iy..x.k...", RoleTrainer: "vesrRgmcaopSdfwjqCb....IyYFxXki..",
		RoleChair: "vesrRgmcaopSdfwjq.......yY.xXkiEM", RoleMember: "vesrRgmcaopSdfwjq.......y..x.k...", RoleClinic: "vesrRgmcaopSdfwjq......IyY.x.k...",
		RoleAdministrator: "...................uUL....F......",
	},
	RelationAssistant: {
		RoleSurgeon: "ve.rRgmc.op.dfwjqCb....Iy..xXk...", RoleTrainee: "ve.rRgmc.op.dfwjqCb....Iy..x.k...", RoleTrainer: "ve.rRgmc.op.dfwjqCb....IyYFxXki..",
		RoleChair: "ve.rRgmc.op.dfwjq.......yY.xXkiEM", RoleMember: "ve.rRgmc.op.dfwjq.......y..x.k...", RoleClinic: "ve.rRgmc.op.dfwjq......IyY.x.k...",
		RoleAdministrator: "...................uUL....F......",
	},
	RelationShared: {
		RoleSurgeon: "v..r.g.c..p......Cb....Iy..xXk...", RoleTrainee: "v..r.g.c..p......Cb....Iy..x.k...", RoleTrainer: "v..r.g.c..p......Cb....IyYFxXki..",
		RoleChair: "v..r.g.c..p.............yY.xXkiEM", RoleMember: "v..r.g.c..p.............y..x.k...", RoleClinic: "v..r.g.c.op............IyY.x.k...",
		RoleAdministrator: "...................uUL....F......",
	},
	RelationNone: {
		RoleSurgeon: ".................Cb....Iy..xXk...", RoleTrainee: ".................Cb....Iy..x.k...", RoleTrainer: ".................Cb....IyYFxXki..",
		RoleChair: "........................yY.xXkiEM", RoleMember: "........................y..x.k...", RoleClinic: "v........o.............IyY.x.k...",
		RoleAdministrator: "...................uUL....F......",
	},
}

func rightsOf(actor Actor, relation Relation) string {
	text := []byte(letters)
	for i, action := range append(append([]Action{}, CaseActions...), UnitActions...) {
		if !Can(actor, action, relation) {
			text[i] = '.'
		}
	}
	return string(text)
}

func TestCan(t *testing.T) {
	require.Len(t, letters, len(CaseActions)+len(UnitActions))
	require.Len(t, grants, len(letters), "an action has no row, or a row no action")
	require.Len(t, rights, len(Relations))
	for _, relation := range Relations {
		for _, role := range Roles {
			actor := Actor{User: User{ID: "someone", Roles: []Role{role}, Active: true}}
			require.Equal(t, rights[relation][role], rightsOf(actor, relation), "%s, relation %q", role, relation)
			actor.Active = false
			require.Equal(t, strings.Repeat(".", len(letters)), rightsOf(actor, relation), "inactive %s, relation %q", role, relation)
		}
	}
}

func TestRolesAdd(t *testing.T) {
	both := Actor{User: User{ID: "someone", Roles: []Role{RoleAdministrator, RoleSurgeon}, Active: true}}
	require.Equal(t, "vesrRgmcaopSdfwjqCbuUL.Iy.FxXk...", rightsOf(both, RelationOperator))
	clinicToo := Actor{User: User{ID: "someone", Roles: []Role{RoleClinic, RoleTrainee}, Active: true}}
	require.Equal(t, "v..r.g.c.op......Cb....IyY.x.k...", rightsOf(clinicToo, RelationShared))
}

func TestNobodyAndTheHouse(t *testing.T) {
	for _, relation := range Relations {
		require.Equal(t, strings.Repeat(".", len(letters)), rightsOf(Actor{}, relation), "signed out")
		require.Equal(t, "v..r.g....p........uULB..........", rightsOf(House(), relation), "the command line sees and manages; it signs and marks nothing")
	}
}

func TestRefusalsSayWhoMay(t *testing.T) {
	for action := range grants {
		if action != CaseView {
			require.NotEmpty(t, whoMay[action], action)
		}
	}
}
