// Package live tells those who follow a meeting where it is, whichever server the presenter speaks to.
package live
