// The one door to the packages that speak the editor's protocol. The rest of the server imports
// from here, so that a change of package touches one file.
export {
  CodeActionKind,
  DiagnosticSeverity,
  DiagnosticTag,
  DidChangeConfigurationNotification,
  DidChangeWatchedFilesNotification,
  ErrorCodes,
  MarkupKind,
  ProposedFeatures,
  ResponseError,
  TextDocuments,
  TextDocumentSyncKind,
  createConnection,
} from 'vscode-languageserver/node'
export type {
  CodeAction,
  CodeActionParams,
  Connection,
  Diagnostic,
  DiagnosticRelatedInformation,
  Hover,
  HoverParams,
  InitializeParams,
  InitializeResult,
  Position,
  Range,
  ServerCapabilities,
} from 'vscode-languageserver/node'
export { TextDocument } from 'vscode-languageserver-textdocument'
