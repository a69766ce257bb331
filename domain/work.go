package domain

// The markers of the things of the work: what is verified, with what, by which method,
// and what was observed. They have no values of use.
type (
	MeterKind         struct{}
	IndicationKind    struct{}
	InstallationKind  struct{}
	KitKind           struct{}
	CalibrationKind   struct{}
	EquipmentSetKind  struct{}
	MethodKind        struct{}
	MethodEditionKind struct{}
	AuthorisationKind struct{}
	AgreementKind     struct{}
	VisitKind         struct{}
	BookingKind       struct{}
	VisitStepKind     struct{}
	TaskKind          struct{}
	SurveyValueKind   struct{}
	MountingKind      struct{}
	SetupCheckKind    struct{}
	ZeroCheckKind     struct{}
	RunPlanKind       struct{}
	RunKind           struct{}
	ReadingKind       struct{}
	SetAsideKind      struct{}
	ControlNoteKind   struct{}
	AdjustmentKind    struct{}
	TaskNoteKind      struct{}
	EvaluationKind    struct{}
	ApprovalKind      struct{}
	PreparationKind   struct{}
	CertificateKind   struct{}
	LogFileKind       struct{}
	SeriesKind        struct{}
	ColumnMapKind     struct{}
	AlignmentKind     struct{}
	StretchKind       struct{}
)

// The identifiers of the work by what they name.
type (
	MeterID         = ID[MeterKind]
	IndicationID    = ID[IndicationKind]
	InstallationID  = ID[InstallationKind]
	KitID           = ID[KitKind] // one item of kit
	CalibrationID   = ID[CalibrationKind]
	EquipmentSetID  = ID[EquipmentSetKind]
	MethodID        = ID[MethodKind]
	MethodEditionID = ID[MethodEditionKind]
	AuthorisationID = ID[AuthorisationKind]
	AgreementID     = ID[AgreementKind]
	VisitID         = ID[VisitKind]
	BookingID       = ID[BookingKind]
	VisitStepID     = ID[VisitStepKind]
	TaskID          = ID[TaskKind]
	SurveyValueID   = ID[SurveyValueKind]
	MountingID      = ID[MountingKind]
	SetupCheckID    = ID[SetupCheckKind]
	ZeroCheckID     = ID[ZeroCheckKind]
	RunPlanID       = ID[RunPlanKind]
	RunID           = ID[RunKind]
	ReadingID       = ID[ReadingKind]
	SetAsideID      = ID[SetAsideKind]
	ControlNoteID   = ID[ControlNoteKind]
	AdjustmentID    = ID[AdjustmentKind]
	TaskNoteID      = ID[TaskNoteKind]
	EvaluationID    = ID[EvaluationKind]
	ApprovalID      = ID[ApprovalKind]
	PreparationID   = ID[PreparationKind] // a snapshot frozen for issue
	CertificateID   = ID[CertificateKind]
	LogFileID       = ID[LogFileKind]   // a logger's file
	SeriesID        = ID[SeriesKind]    // one channel decoded from it
	ColumnMapID     = ID[ColumnMapKind] // how the company reads a layout
	AlignmentID     = ID[AlignmentKind] // of two series' clocks
	StretchID       = ID[StretchKind]
)
