package privatepg

import (
	"fmt"
	"strings"

	"rillmark/calc/fault"
)

// What a person can mend. The sentences stand in the catalogue.
var (
	noPrograms      = fault.Define("privatepg.no-programs", fault.C("oldest"))
	notPrograms     = fault.Define("privatepg.not-programs", fault.T("dir"))
	tooOld          = fault.Define("privatepg.too-old", fault.T("dir"), fault.C("major"), fault.C("oldest"))
	wrongMajor      = fault.Define("privatepg.wrong-major", fault.T("dir"), fault.C("made"), fault.C("major"))
	noSuchMajor     = fault.Define("privatepg.no-such-major", fault.T("dir"), fault.C("made"))
	programsClosed  = fault.Define("privatepg.programs-closed", fault.T("dir"), fault.T("closed"), fault.T("account"))
	noAccount       = fault.Define("privatepg.no-account", fault.T("names"))
	folderForeign   = fault.Define("privatepg.folder-foreign", fault.T("dir"))
	folderClosed    = fault.Define("privatepg.folder-closed", fault.T("dir"), fault.T("closed"), fault.T("account"))
	folderNotYours  = fault.Define("privatepg.folder-not-yours", fault.T("dir"), fault.T("owner"), fault.T("account"))
	folderUnusable  = fault.Define("privatepg.folder-unusable", fault.T("dir"), fault.T("cause"))
	folderNeeded    = fault.Define("privatepg.folder-needed")
	inUse           = fault.Define("privatepg.in-use", fault.T("dir"), fault.T("holder"))
	stillRunning    = fault.Define("privatepg.still-running", fault.T("dir"), fault.C("pid"))
	diskFull        = fault.Define("privatepg.disk-full", fault.T("dir"))
	notWhole        = fault.Define("privatepg.not-whole", fault.T("dir"))
	notMade         = fault.Define("privatepg.not-made", fault.T("dir"))
	notStarting     = fault.Define("privatepg.not-starting", fault.T("dir"), fault.T("log"))
	socketUnusable  = fault.Define("privatepg.socket-unusable", fault.T("dir"), fault.T("account"))
	notFetched      = fault.Define("privatepg.not-fetched", fault.T("build"))
	otherBuild      = fault.Define("privatepg.other-build", fault.T("build"), fault.T("version"))
	programsFailing = fault.Define("privatepg.programs-failing", fault.T("dir"))
)

// because joins a fault with what the machine said, which only the log shows.
func because(f fault.Fault, cause any) error {
	if err, ok := cause.(error); ok {
		return fmt.Errorf("%w: %w", f, err)
	}
	return fmt.Errorf("%w: %s", f, strings.TrimSpace(fmt.Sprint(cause)))
}
