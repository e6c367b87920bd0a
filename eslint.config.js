// The few rules the compiler does not have. Layout rules are left to the reader's eye.
import tseslint from 'typescript-eslint'

export default tseslint.config(
  { ignores: ['dist/', '.out/', 'node_modules/', 'tests/host/', '.cache/', '.vscode-test/'] },
  ...tseslint.configs.recommended,
  {
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-non-null-assertion': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      'eqeqeq': 'error',
      'no-console': ['error', { allow: ['error'] }],
      'max-lines': ['error', { max: 400, skipBlankLines: true }],
    },
  },
  { files: ['.scripts/**', 'esbuild.js', 'tests/**', 'samples/**'], rules: { 'no-console': 'off' } },
)
