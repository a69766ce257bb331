package main

import (
	"maps"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

// load collects the settings that the command reads, each from the first place that has it.
func (p *program) load(c command, from *call) (Config, error) {
	var config Config
	if len(c.settings) == 0 {
		return config, nil
	}
	file, err := p.readConfigFile(from)
	if err != nil {
		return config, err
	}
	for _, s := range settings {
		if !s.usedBy(c) {
			continue
		}
		value := p.valueOf(s, from, file)
		if value != "" && s.check != nil && !s.check(value) {
			return config, usage(settingMalformed.At("", "--"+s.name, hideSecret(value), s.form))
		}
		*s.field(&config) = value
	}
	return config, nil
}

func (p *program) valueOf(s setting, from *call, file map[string]string) string {
	if from.given(s.name) {
		return *from.known[s.name]
	}
	if v, set := p.variable(s.variable()); set && v != "" {
		return v
	}
	if v, set := file[s.key()]; set {
		return v
	}
	return s.def
}

// variable looks up the environment as it was given at the start.
func (p *program) variable(name string) (value string, set bool) {
	for _, e := range p.environ {
		if v, found := strings.CutPrefix(e, name+"="); found {
			value, set = v, true
		}
	}
	return value, set
}

// readConfigFile reads the file named by --config or RILLMARK_CONFIG: TOML, one level,
// texts only. A name that no setting has is refused, for it is one written wrongly.
func (p *program) readConfigFile(from *call) (map[string]string, error) {
	path, _ := p.variable(variableOf(configFlag))
	if from.given(configFlag) {
		path = from.text(configFlag)
	}
	if path == "" {
		return nil, nil
	}
	var raw map[string]any
	if _, err := toml.DecodeFile(path, &raw); err != nil {
		return nil, usage(configUnreadable.At("", path, plainCause(err)))
	}
	file := map[string]string{}
	for _, key := range slices.Sorted(maps.Keys(raw)) {
		if !slices.ContainsFunc(settings, func(s setting) bool { return s.key() == key }) {
			return nil, usage(configUnknown.At("", path, key))
		}
		text, ok := raw[key].(string)
		if !ok {
			return nil, usage(configNotText.At("", path, key))
		}
		file[key] = text
	}
	return file, nil
}
