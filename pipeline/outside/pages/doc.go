// Package pages holds pages that the program writes against pictures of them that a person has looked at. All of it is
// tests.
package pages
