package main

import "rillmark/calc/fault"

// What whoever runs the program can mend. The sentences stand in the catalogue.
var (
	unknownCommand   = fault.Define("cli.unknown-command", fault.T("command"))
	flagsWrong       = fault.Define("cli.flags-wrong", fault.T("command"), fault.T("cause"))
	tooMany          = fault.Define("cli.too-many-words", fault.T("command"), fault.T("word"))
	operandMissing   = fault.Define("cli.operand-missing", fault.T("command"), fault.T("operand"))
	settingMissing   = fault.Define("cli.setting-missing", fault.T("setting"), fault.T("variable"))
	settingMalformed = fault.Define("cli.setting-malformed", fault.T("setting"), fault.T("value"), fault.T("form"))
	passwordShown    = fault.Define("cli.password-in-address", fault.T("setting"), fault.T("file_setting"))
	secretUnreadable = fault.Define("cli.secret-unreadable", fault.T("setting"), fault.T("file"), fault.T("cause"))
	configUnreadable = fault.Define("cli.config-unreadable", fault.T("file"), fault.T("cause"))
	configUnknown    = fault.Define("cli.config-unknown", fault.T("file"), fault.T("key"))
	configNotText    = fault.Define("cli.config-not-text", fault.T("file"), fault.T("key"))
	noDataDir        = fault.Define("cli.no-data-dir")
	portTaken        = fault.Define("cli.port-in-use", fault.T("address"))
	addressUnusable  = fault.Define("cli.address-unusable", fault.T("address"), fault.T("cause"))
	demoDatabase     = fault.Define("cli.demo-database")
	behind           = fault.Define("cli.database-behind", fault.C("at"), fault.C("latest"))
	ahead            = fault.Define("cli.database-ahead", fault.C("at"), fault.C("latest"))
	databaseDied     = fault.Define("cli.database-died", fault.T("log"))
	trailBroken      = fault.Define("cli.trail-broken", fault.C("problems"))
	recheckFound     = fault.Define("cli.recheck-found", fault.C("findings"))
	lossNotAccepted  = fault.Define("cli.loss-not-accepted")
	notHealthy       = fault.Define("cli.not-healthy", fault.T("address"), fault.T("cause"))
)
