package web

import (
	"net/http"

	"rillmark/domain/access"
)

// sheetRoutes are the pages and commands of a task's work sheet.
func (w *Web) sheetRoutes() []route {
	const get, post = http.MethodGet, http.MethodPost
	see, fill := access.SeeSheet, access.FillSheet
	return []route{
		{method: get, path: "/tasks/:task/sheet", act: see, handle: w.sheetStart},
		{method: get, path: "/tasks/:task/paper", act: see, handle: w.sheetPaper},
		{method: get, path: "/tasks/:task/survey", act: see, handle: w.sheetSurvey},
		{method: get, path: "/tasks/:task/survey/:value", act: see, handle: w.sheetValue},
		{method: post, path: "/tasks/:task/survey", act: fill, handle: w.recordValue},
		{method: get, path: "/tasks/:task/pipe", act: see, handle: w.sheetPipe},
		{method: post, path: "/tasks/:task/pipe", act: fill, handle: w.pickPipe},
		{method: get, path: "/tasks/:task/mounting", act: see, handle: w.sheetMounting},
		{method: post, path: "/tasks/:task/mounting", act: fill, handle: w.addMounting},
		{method: get, path: "/tasks/:task/check", act: see, handle: w.sheetCheck},
		{method: post, path: "/tasks/:task/check", act: fill, handle: w.addCheck},
		{method: post, path: "/tasks/:task/check/keep", act: fill, handle: w.keepCheck},
		{method: post, path: "/tasks/:task/zero", act: fill, handle: w.addZero},
		{method: get, path: "/tasks/:task/before", act: see, handle: w.sheetBefore},
		{method: get, path: "/tasks/:task/after", act: see, handle: w.sheetAfter},
		{method: post, path: "/tasks/:task/plan", act: fill, handle: w.planRuns},
		{method: post, path: "/tasks/:task/runs", act: fill, handle: w.addRun},
		{method: get, path: "/tasks/:task/runs/:run", act: see, handle: w.sheetRun},
		{method: post, path: "/tasks/:task/readings", act: fill, handle: w.addReadings},
		{method: post, path: "/tasks/:task/aside", act: fill, handle: w.setAside},
		{method: post, path: "/tasks/:task/control", act: fill, handle: w.noteControl},
		{method: get, path: "/tasks/:task/adjust", act: see, handle: w.sheetAdjust},
		{method: post, path: "/tasks/:task/adjust", act: fill, handle: w.addAdjustment},
		{method: post, path: "/tasks/:task/notes", act: fill, handle: w.noteTask},
		{method: get, path: "/tasks/:task/verdict", act: see, handle: w.sheetVerdict},
		{method: post, path: "/tasks/:task/evaluation", act: fill, handle: w.keepEvaluation},
	}
}
