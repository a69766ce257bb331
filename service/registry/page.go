package registry

import "rillmark/service/store"

// Filter says which part of a list is wanted.
type Filter = store.Filter

// Page is one part of a list, in order.
type Page[T any] = store.Page[T]

// PageSize is the usual number of rows of a page.
const PageSize = store.PageSize

// mark is where a page ended.
type mark = store.Mark

// MarkMalformed says that a list was asked to go on after something that is no place in it.
var MarkMalformed = store.MarkMalformed
