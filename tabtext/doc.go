// Package tabtext reads, edits in place and writes plain-text tab.
//
// Reading has two layers. The text layer finds systems (blocks of rows, one
// per string) among prose, and the lines beside them that belong to their
// columns. The musical layer turns rows and lines into the score model.
package tabtext
