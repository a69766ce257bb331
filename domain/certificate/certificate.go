// Package certificate holds what a certificate says and the rules it keeps: the snapshot of
// all that the document shows, with its canonical form and hash; rounding for the report;
// what a calibration certificate must show; numbers; and the states from draft to
// withdrawn. Build makes a snapshot from a task's facts and their result.
//
// Not here: the pages (service/document), keeping and numbering certificates (a service,
// with the database), and who may approve or issue. The rules follow ISO/IEC 17025:2017,
// 7.8, ILAC-P14:09/2020 and JCGM 100:2008, 7.2.6; the canonical form RFC 8785.
package certificate
