-- Drives Neovim's own language client through a session with the server, and writes down what it was told.
-- The findings shown last: after an edit those of the contact search come back one after the other.
local shown = {}
local seen = { diagnostics = {}, answers = {}, text = {}, errors = {} }

local function finish()
  local file = io.open(os.getenv('TOOLWAKE_OUTPUT'), 'w')
  file:write(vim.json.encode(seen))
  file:close()
  vim.cmd('qall!')
end

local function session()
  vim.cmd('edit plate.nc')
  local buffer = vim.api.nvim_get_current_buf()
  local id = vim.lsp.start_client({
    name = 'toolwake',
    cmd = { os.getenv('TOOLWAKE_NODE'), os.getenv('TOOLWAKE_SERVER'), '--stdio' },
    root_dir = vim.fn.getcwd(),
    get_language_id = function() return 'toolwake-nc' end,
    handlers = {
      ['textDocument/publishDiagnostics'] = function(_, result) shown = result.diagnostics end,
    },
  })
  vim.lsp.buf_attach_client(buffer, id)

  local function found()
    for _, one in ipairs(shown) do
      if one.code == 'gouge' then return true end
    end
    return false
  end
  if not vim.wait(60000, found, 50) then table.insert(seen.errors, 'no gouge was found') end
  seen.diagnostics = shown

  local uri = vim.uri_from_bufnr(buffer)
  local function ask(method, line, character, more)
    local params = { textDocument = { uri = uri }, position = { line = line, character = character } }
    for key, value in pairs(more or {}) do params[key] = value end
    local answers = vim.lsp.buf_request_sync(buffer, method, params, 20000)
    local answer = answers and answers[id]
    if not answer or answer.error then
      table.insert(seen.errors, method .. ': ' .. vim.inspect(answer))
      return nil
    end
    return answer.result
  end
  local function place(text)
    for number, line in ipairs(vim.api.nvim_buf_get_lines(buffer, 0, -1, false)) do
      local column = string.find(line, text, 1, true)
      if column then return number - 1, column - 1 end
    end
  end

  local cut, column = place('G1 Z0. F300.')
  seen.answers.hover = ask('textDocument/hover', cut, column)
  local jump, goto_column = place('GOTO 200')
  seen.answers.definition = ask('textDocument/definition', jump, goto_column + 6)
  seen.answers.references = ask('textDocument/references', jump, goto_column + 6, { context = { includeDeclaration = true } })
  seen.answers.symbols = ask('textDocument/documentSymbol', 0, 0)
  seen.answers.folds = ask('textDocument/foldingRange', 0, 0)
  seen.answers.links = ask('textDocument/documentLink', 0, 0)
  seen.answers.lens = ask('textDocument/codeLens', 0, 0)

  local edit = ask('textDocument/rename', jump, goto_column + 6, { newName = '205' })
  if edit then vim.lsp.util.apply_workspace_edit(edit, 'utf-16') end
  seen.text = vim.api.nvim_buf_get_lines(buffer, 0, -1, false)

  vim.api.nvim_buf_set_lines(buffer, -1, -1, false, { 'G83 X1. Q', 'G8' })
  local last = vim.api.nvim_buf_line_count(buffer)
  seen.answers.signature = ask('textDocument/signatureHelp', last - 2, 9)
  seen.answers.completion = ask('textDocument/completion', last - 1, 2)
end

local went_well, fault = pcall(session)
if not went_well then table.insert(seen.errors, tostring(fault)) end
finish()
