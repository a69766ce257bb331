package webtest

import (
	"encoding/json"
	"fmt"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// Choose gives a file to a file field.
func (p *Page) Choose(selector, path string) {
	p.t.Helper()
	p.do("choose a file for "+selector, chromedp.SetUploadFiles(chromedp.CSS(selector), []string{path}))
}

// Drag presses the mouse inside of an element and lets go further on. Places are shares of
// the element's width; it happens at half its height.
func (p *Page) Drag(selector string, from, to float64) {
	p.t.Helper()
	quoted, _ := json.Marshal(selector)
	box := Eval[[4]float64](p, fmt.Sprintf(`(e => { e.scrollIntoView({block: "center"}); const b = e.getBoundingClientRect(); return [b.left, b.top, b.width, b.height]; })(document.querySelector(%s))`, quoted))
	y := box[1] + box[3]/2
	at := func(share float64) float64 { return box[0] + share*box[2] }
	const steps = 6
	moves := []chromedp.Action[chromedp.Void]{chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, at(from), y), chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, at(from), y, chromedp.ButtonLeft, chromedp.ClickCount(1))}
	for i := 1; i <= steps; i++ {
		moves = append(moves, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, at(from+(to-from)*float64(i)/steps), y, chromedp.ButtonLeft))
	}
	moves = append(moves, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, at(to), y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	p.do("drag on "+selector, moves...)
}

// Await waits until the condition, an expression of JavaScript, holds.
func (p *Page) Await(what, condition string) {
	p.t.Helper()
	p.await(what, condition)
}
