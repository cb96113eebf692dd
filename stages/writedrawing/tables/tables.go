// Package tables has the drawing's tables: holes by tool, layers, copies, score lines, tabs.
package tables
