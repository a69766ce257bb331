// Package web is the program's face to browsers: it reads a request, calls one service,
// and renders one page. Gin stops here. Pages are made of the parts in web/part and the
// templates; words come from service/sentence. Who may do what is in domain/access; this
// package only asks. It follows OWASP ASVS 5.0 for headers, cookies and input.
package web
