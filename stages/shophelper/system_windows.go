package shophelper

// systemVariables are those that programs of this system cannot do without; os/exec adds SYSTEMROOT.
func systemVariables(dir string) []string {
	return []string{"TEMP=" + dir, "TMP=" + dir, "USERPROFILE=" + dir}
}
