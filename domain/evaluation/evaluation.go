// Package evaluation draws the conclusion from a task's work sheet: one pure function from
// the facts to the result. It maps the rows to the numbers of calc/verification, adds the
// components the method's edition asks for, judges by the agreement, and says which ground
// is missing where no statement of conformity may be made. What was observed is never
// refused; what is concluded from it is, where its ground is missing: then results are for
// information.
//
// Not here: keeping evaluations, and who may approve them. The budget follows JCGM
// 100:2008, the decision JCGM 106:2012 and ILAC-G8:09/2019.
package evaluation
