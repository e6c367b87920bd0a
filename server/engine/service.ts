// The engine's table of contents. It reads no files and knows no clock: whatever comes from
// outside is handed in. The language server, the command line and the tests are equal users.
// The order of work:
//   openScene → openMesh → readProgram → search (ContactSearch, in workers) → contactFindings → summarise

export { namedBodies, namedFiles, type NamedFiles } from './setup/named-files.ts'
export { draftSetup, type SetupDraft } from './draft-setup.ts'
export { openScene, type Scene, type InputTrouble } from './open-scene.ts'
export { openMesh, type BinaryFile, type PartMesh } from './open-mesh.ts'
export { obstacleFilesOf, openObstacles, type ObstacleFile, type ObstacleSource } from './open-obstacles.ts'
export type { MeshTree } from './mesh/mesh-tree.ts'
export { readProgram, type ReadProgram, type CalledProgram, type ReadOptions, type TextFile } from './read-program.ts'
export { newContactFigures, placeFigures, type ContactFigures } from './contact/contact-figures.ts'
export { motionsPerRun, MotionSearcher, type FarFigure, type SearchInput } from './contact/search-motions.ts'
export { SceneSearcher, type SceneMeshes } from './contact/scene-searcher.ts'
export type { Obstacle } from './contact/obstacle.ts'
export type { NearFigure } from './contact/near-figure.ts'
export { searchInputOf } from './search-input.ts'
export { contactFindings, underWaivers } from './contact-findings.ts'
export { mendReport, type MendOptions, type MendReport, type MendedReport, type RefusedReport, type LineChange, type ProvenFigure } from './mend-report.ts'
export { comparePrograms, type ClearanceChange, type ProgramComparison } from './compare-programs.ts'
export { comparisonSections, verdictOf } from './compare-words.ts'
export { byPlace, findingKeys, findingStates, type BaselineState, type FindingStates, type KnownFinding } from './compare/finding-states.ts'
export { bareBlock } from './nc/bare-block.ts'
export { summarise, worstFigures, type CheckResult, type ToolSummary, type WorstFigure } from './summarise.ts'
export { defaultEpsilon } from './geometry/tolerance.ts'
export { allRules } from './lint/all-rules.ts'
export { rulePage } from './lint/rule-page.ts'
export { lineSpan, lineStartsOf } from './nc/line-index.ts'
