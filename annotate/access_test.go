package annotate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// rights is the whole of who may do what, written out a second time by hand: a letter for each action of CaseActions and
// UnitActions in their order, "." where it is refused.
//
//	v case.view  e case.edit  s case.share  r recording.view  R recording.edit  g reading.view  m reading.mark
//	c reading.comment  a reading.accept  o outcome.edit  p report.view  S report.sign  d report.addendum
//	C case.create  b media.browse  u user.manage  U unit.edit  L step-list.edit  B bundle.use
//	I intake.use
const letters = "vesrRgmcaopSdCbuULBI"

var rights = map[Relation]map[Role]string{
	RelationOperator: {
		RoleSurgeon: "vesrRgmcaopSdCb....I", RoleTrainee: "vesrRgmcaopSdCb....I", RoleTrainer: "vesrRgmcaopSdCb....I",
		RoleChair: "vesrRgmcaopSd.......", RoleMember: "vesrRgmcaopSd.......", RoleClinic: "vesrRgmcaopSd......I",
		RoleAdministrator: "...............uUL..",
	},
	RelationSupervisor: {
		RoleSurgeon: "vesrRgmcaopSdCb....I", RoleTrainee: "vesrRgmcaopSdCb....I", RoleTrainer: "vesrRgmcaopSdCb....I",
		RoleChair: "vesrRgmcaopSd.......", RoleMember: "vesrRgmcaopSd.......", RoleClinic: "vesrRgmcaopSd......I",
		RoleAdministrator: "...............uUL..",
	},
	RelationAssistant: {
		RoleSurgeon: "ve.rRgmc.op.dCb....I", RoleTrainee: "ve.rRgmc.op.dCb....I", RoleTrainer: "ve.rRgmc.op.dCb....I",
		RoleChair: "ve.rRgmc.op.d.......", RoleMember: "ve.rRgmc.op.d.......", RoleClinic: "ve.rRgmc.op.d......I",
		RoleAdministrator: "...............uUL..",
	},
	RelationShared: {
		RoleSurgeon: "v..r.g.c..p..Cb....I", RoleTrainee: "v..r.g.c..p..Cb....I", RoleTrainer: "v..r.g.c..p..Cb....I",
		RoleChair: "v..r.g.c..p.........", RoleMember: "v..r.g.c..p.........", RoleClinic: "v..r.g.c.op........I",
		RoleAdministrator: "...............uUL..",
	},
	RelationNone: {
		RoleSurgeon: ".............Cb....I", RoleTrainee: ".............Cb....I", RoleTrainer: ".............Cb....I",
		RoleChair: "....................", RoleMember: "....................", RoleClinic: "v........o.........I",
		RoleAdministrator: "...............uUL..",
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
			require.Equal(t, "....................", rightsOf(actor, relation), "inactive %s, relation %q", role, relation)
		}
	}
}

func TestRolesAdd(t *testing.T) {
	both := Actor{User: User{ID: "someone", Roles: []Role{RoleAdministrator, RoleSurgeon}, Active: true}}
	require.Equal(t, "vesrRgmcaopSdCbuUL.I", rightsOf(both, RelationOperator))
	clinicToo := Actor{User: User{ID: "someone", Roles: []Role{RoleClinic, RoleTrainee}, Active: true}}
	require.Equal(t, "v..r.g.c.op..Cb....I", rightsOf(clinicToo, RelationShared))
}

func TestNobodyAndTheHouse(t *testing.T) {
	for _, relation := range Relations {
		require.Equal(t, "....................", rightsOf(Actor{}, relation), "signed out")
		require.Equal(t, "v..r.g....p....uULB.", rightsOf(House(), relation), "the command line sees and manages; it signs and marks nothing")
	}
}

func TestRefusalsSayWhoMay(t *testing.T) {
	for action := range grants {
		if action != CaseView {
			require.NotEmpty(t, whoMay[action], action)
		}
	}
}
