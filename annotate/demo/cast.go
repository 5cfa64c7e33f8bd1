package demo

import (
	"time"

	"zonule/annotate"
)

// UnitName heads every page and report of the demo unit.
const UnitName = "Saltmere Harbour Eye Unit (invented)"

// Password is shared by all demo accounts. It is public: it must never be used for anything that is not invented.
const Password = "lantern-on-the-quay"

// member is a person of the invented unit.
type member struct {
	login string
	name  string
	roles []annotate.Role
	grade annotate.Grade

	// The rest holds for those who operate.
	earlier   int     // operations done before the demo begins
	joins     float64 // when they begin, as a fraction of the demo's time
	weight    float64 // share of the lists
	floor     float64 // of skill, which is log time relative to the step's median
	amplitude float64
	pace      float64
	byTrainer string // login of the usual supervisor; "" operates alone
}

// cast lists everybody. The order is that in which accounts are made.
var cast = []member{
	{login: "office", name: "Petra Nováková", roles: []annotate.Role{annotate.RoleAdministrator}},
	{
		login: "mara", name: "Mara Lindqvist", grade: annotate.GradeConsultant,
		roles:   []annotate.Role{annotate.RoleSurgeon, annotate.RoleTrainer, annotate.RoleMember},
		earlier: 4200, weight: 1.2, floor: 0, amplitude: 0,
	},
	{
		login: "anand", name: "आनंद कुलकर्णी", grade: annotate.GradeConsultant,
		roles:   []annotate.Role{annotate.RoleSurgeon, annotate.RoleTrainer, annotate.RoleMember},
		earlier: 2900, weight: 1.1, floor: 0.10, amplitude: 0,
	},
	{
		login: "eleni", name: "Ελένη Παπαδάκη", grade: annotate.GradeFellow,
		roles:   []annotate.Role{annotate.RoleTrainee, annotate.RoleMember},
		earlier: 420, weight: 1.1, floor: 0.12, amplitude: 0.9, pace: 120, byTrainer: "mara",
	},
	{
		login: "daryna", name: "Дарина Коваль", grade: annotate.GradeSeniorTrainee,
		roles:   []annotate.Role{annotate.RoleTrainee, annotate.RoleMember},
		earlier: 130, weight: 1.0, floor: 0.15, amplitude: 0.9, pace: 80, byTrainer: "anand",
	},
	{
		login: "haruka", name: "佐藤 遥", grade: annotate.GradeJuniorTrainee,
		roles:   []annotate.Role{annotate.RoleTrainee, annotate.RoleMember},
		earlier: 14, weight: 1.0, floor: 0.20, amplitude: 0.85, pace: 55, byTrainer: "mara",
	},
	{
		login: "tomas", name: "Tomás Ferreira Quintal", grade: annotate.GradeJuniorTrainee,
		roles:   []annotate.Role{annotate.RoleTrainee, annotate.RoleMember},
		earlier: 0, joins: 0.35, weight: 1.1, floor: 0.25, amplitude: 0.85, pace: 50, byTrainer: "anand",
	},
	{login: "noor", name: "نور الهاشمي", roles: []annotate.Role{annotate.RoleChair, annotate.RoleMember}, grade: annotate.GradeConsultant},
	{login: "grace", name: "Grace Adeyemi", roles: []annotate.Role{annotate.RoleClinic}},
}

// Login is one way into the demo unit.
type Login struct {
	Login string
	Name  string
	Roles []annotate.Role
}

// Logins lists the demo accounts.
func Logins() []Login {
	var logins []Login
	for _, m := range cast {
		logins = append(logins, Login{Login: m.login, Name: m.name, Roles: m.roles})
	}
	return logins
}

func (m member) operates() bool { return m.weight > 0 }

func (m member) trains() bool { return m.operates() && m.byTrainer == "" }

// skill after n operations in the demo; 0 is the speed of the step's median, 0.69 takes twice as long.
func (m member) skill(n int) float64 {
	if m.amplitude == 0 {
		return m.floor
	}
	return m.floor + m.amplitude/(1+float64(m.earlier+n)/m.pace)
}

// users turns the cast into accounts made at an instant (Unix ms), with ids from the seed.
func users(seed uint64, at int64) []annotate.User {
	r := newRandom(seed, 1)
	var list []annotate.User
	for i, m := range cast {
		made := at + int64(i)*time.Minute.Milliseconds()
		list = append(list, annotate.User{
			ID: r.id(made), Revision: 1, Login: m.login, Name: m.name, Roles: m.roles, Grade: m.grade, Active: true, CreatedAt: made,
		})
	}
	return list
}
