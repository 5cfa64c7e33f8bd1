// Package server is the door: it answers HTTP, asks the domain and writes what it says. It is the only place that
// knows the web framework, URLs and status codes.
package server
