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
//	w assessment.view  j case.assess  F assessment-form.edit
//	I intake.use  y unit.summary  Y unit.sums
const letters = "vesrRgmcaopSdwjCbuULBIyYF"

var rights = map[Relation]map[Role]string{
	RelationOperator: {
		RoleSurgeon: "vesrRgmcaopSdwjCb....Iy..", RoleTrainee: "vesrRgmcaopSdwjCb....Iy..", RoleTrainer: "vesrRgmcaopSdwjCb....IyYF",
		RoleChair: "vesrRgmcaopSdwj.......yY.", RoleMember: "vesrRgmcaopSdwj.......y..", RoleClinic: "vesrRgmcaopSdwj......IyY.",
		RoleAdministrator: ".................uUL....F",
	},
	RelationSupervisor: {
		RoleSurgeon: "vesrRgmcaopSdwjCb....Iy..", RoleTrainee: "vesrRgmcaopSdwjCb....Iy..", RoleTrainer: "vesrRgmcaopSdwjCb....IyYF",
		RoleChair: "vesrRgmcaopSdwj.......yY.", RoleMember: "vesrRgmcaopSdwj.......y..", RoleClinic: "vesrRgmcaopSdwj......IyY.",
		RoleAdministrator: ".................uUL....F",
	},
	RelationAssistant: {
		RoleSurgeon: "ve.rRgmc.op.dwjCb....Iy..", RoleTrainee: "ve.rRgmc.op.dwjCb....Iy..", RoleTrainer: "ve.rRgmc.op.dwjCb....IyYF",
		RoleChair: "ve.rRgmc.op.dwj.......yY.", RoleMember: "ve.rRgmc.op.dwj.......y..", RoleClinic: "ve.rRgmc.op.dwj......IyY.",
		RoleAdministrator: ".................uUL....F",
	},
	RelationShared: {
		RoleSurgeon: "v..r.g.c..p....Cb....Iy..", RoleTrainee: "v..r.g.c..p....Cb....Iy..", RoleTrainer: "v..r.g.c..p....Cb....IyYF",
		RoleChair: "v..r.g.c..p...........yY.", RoleMember: "v..r.g.c..p...........y..", RoleClinic: "v..r.g.c.op..........IyY.",
		RoleAdministrator: ".................uUL....F",
	},
	RelationNone: {
		RoleSurgeon: "...............Cb....Iy..", RoleTrainee: "...............Cb....Iy..", RoleTrainer: "...............Cb....IyYF",
		RoleChair: "......................yY.", RoleMember: "......................y..", RoleClinic: "v........o...........IyY.",
		RoleAdministrator: ".................uUL....F",
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
	require.Equal(t, "vesrRgmcaopSdCbuUL.Iy.", rightsOf(both, RelationOperator))
	clinicToo := Actor{User: User{ID: "someone", Roles: []Role{RoleClinic, RoleTrainee}, Active: true}}
	require.Equal(t, "v..r.g.c.op..Cb....IyY", rightsOf(clinicToo, RelationShared))
}

func TestNobodyAndTheHouse(t *testing.T) {
	for _, relation := range Relations {
		require.Equal(t, strings.Repeat(".", len(letters)), rightsOf(Actor{}, relation), "signed out")
		require.Equal(t, "v..r.g....p....uULB...", rightsOf(House(), relation), "the command line sees and manages; it signs and marks nothing")
	}
}

func TestRefusalsSayWhoMay(t *testing.T) {
	for action := range grants {
		if action != CaseView {
			require.NotEmpty(t, whoMay[action], action)
		}
	}
}
