// Command zonule is the program: it wires store, domain and server, and holds nothing else.
package main
