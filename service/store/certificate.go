package store

// CertificateState is the state of a certificate, derived from rows: SQL for a query that
// joins its withdrawal as w and the certificate that re-issues it as r.
const CertificateState = `CASE WHEN w.certificate_id IS NOT NULL THEN 'withdrawn' WHEN r.id IS NOT NULL THEN 'superseded' ELSE 'issued' END`
