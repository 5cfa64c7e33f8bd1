package annotate

// Role is what a person does in the unit. A person may have several.
type Role string

const (
	RoleSurgeon       Role = "surgeon"
	RoleTrainee       Role = "trainee"
	RoleTrainer       Role = "trainer"
	RoleChair         Role = "chair"
	RoleMember        Role = "member"
	RoleClinic        Role = "clinic"
	RoleAdministrator Role = "administrator"
)

// Roles lists every role in the order in which it is offered.
var Roles = []Role{RoleSurgeon, RoleTrainee, RoleTrainer, RoleChair, RoleMember, RoleClinic, RoleAdministrator}

// Grade is the experience of an operator at the time of the case, in the classes of Narendran 2009.
type Grade string

const (
	GradeConsultant          Grade = "consultant"
	GradeAssociateSpecialist Grade = "associate-specialist"
	GradeSpecialtyDoctor     Grade = "specialty-doctor"
	GradeFellow              Grade = "fellow"
	GradeSeniorTrainee       Grade = "senior-trainee"
	GradeJuniorTrainee       Grade = "junior-trainee"
)

// Grades lists every grade, most experienced first.
var Grades = []Grade{GradeConsultant, GradeAssociateSpecialist, GradeSpecialtyDoctor, GradeFellow, GradeSeniorTrainee, GradeJuniorTrainee}

// User is a person with an account.
type User struct {
	ID       string `json:"id"`
	Revision int64  `json:"revision"`
	Login    string `json:"login"`
	Name     string `json:"name"`
	Roles    []Role `json:"roles"`
	Grade    Grade  `json:"grade,omitempty"`
	Active   bool   `json:"active"`
	// MustChangePassword is set while the password is one that somebody else chose.
	MustChangePassword bool  `json:"mustChangePassword"`
	CreatedAt          int64 `json:"createdAt"`
}

// Has reports whether the user has any of the roles.
func (u User) Has(roles ...Role) bool {
	for _, mine := range u.Roles {
		for _, r := range roles {
			if mine == r {
				return true
			}
		}
	}
	return false
}

// Person is what colleagues see of a user.
type Person struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Grade Grade  `json:"grade,omitempty"`
	Roles []Role `json:"roles"`
	// Active people can be named by a new case; the others stand in old ones.
	Active bool `json:"active"`
}

// Person is what colleagues see.
func (u User) Person() Person {
	return Person{ID: u.ID, Name: u.Name, Grade: u.Grade, Roles: u.Roles, Active: u.Active}
}

// Actor is the signed-in user on whose behalf something is done.
type Actor struct {
	User
	// RequestID ties the audit entry to the log line.
	RequestID string
	// house: not a person of the unit, but the command line.
	house bool
}
