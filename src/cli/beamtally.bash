# bash completion for beamtally: commands, options, files, and the names of units and
# characteristics as the ledger has them.

# A word as the shell would hand it on: without the quotes and backslashes that it takes away.
_beamtally_plain() {
  local plain=${1#[\"\']}
  plain=${plain%[\"\']}
  printf '%s' "${plain//\\/}"
}

# Each line of the list that begins as typed becomes one completion, quoted as the shell needs it.
_beamtally_lines() {
  local typed=$1 line plain
  plain=$(_beamtally_plain "$typed")
  while IFS= read -r line; do
    [[ -n $line && ${line,,} == "${plain,,}"* ]] || continue
    case $typed in
      \"*) COMPREPLY+=("\"$line\"") ;;
      \'*) COMPREPLY+=("'$line'") ;;
      *) COMPREPLY+=("$(printf '%q' "$line")") ;;
    esac
  done
}

_beamtally_files() {
  local name
  compopt -o filenames 2>/dev/null
  while IFS= read -r name; do
    COMPREPLY+=("$name")
  done < <(compgen "$1" -- "$2")
}

_beamtally() {
  local program=${COMP_WORDS[0]} typed=${COMP_WORDS[COMP_CWORD]} before= command= i
  local -a ledger=()
  COMPREPLY=()
  ((COMP_CWORD > 1)) && before=${COMP_WORDS[COMP_CWORD - 1]}
  # --option=value comes as three words.
  [[ $before == = ]] && ((COMP_CWORD > 2)) && before=${COMP_WORDS[COMP_CWORD - 2]}
  if [[ $typed == = ]]; then
    before=${COMP_WORDS[COMP_CWORD - 1]}
    typed=
  fi
  for ((i = 1; i < COMP_CWORD; i++)); do
    if [[ ${COMP_WORDS[i]} == --ledger ]]; then
      [[ ${COMP_WORDS[i + 1]} == = ]] && ((i++))
      ((i++))
      ((i < COMP_CWORD)) && ledger=(--ledger "$(_beamtally_plain "${COMP_WORDS[i]}")")
    elif [[ -z $command && ${COMP_WORDS[i]} != -* ]]; then
      command=${COMP_WORDS[i]} # common options may stand before it
    fi
  done

  if [[ -z $command && $before != --ledger ]]; then
    _beamtally_lines "$typed" < <("$program" help --list commands 2>/dev/null
      printf 'help\n--help\n--version\n--ledger\n--strict\n--yes\n--quiet\n--verbose\n')
    return
  fi
  case $before in
    --unit) _beamtally_lines "$typed" < <("$program" help --list units "${ledger[@]}" 2>/dev/null) ;;
    --characteristic)
      _beamtally_lines "$typed" < <("$program" help --list characteristics "${ledger[@]}" 2>/dev/null
        [[ $command == baseline ]] && printf 'all\n')
      ;;
    --dates) _beamtally_lines "$typed" <<<$'dmy\nmdy\nymd' ;;
    --decimal) _beamtally_lines "$typed" <<<$'point\ncomma' ;;
    --delimiter) _beamtally_lines "$typed" <<<$'comma\nsemicolon\ntab\npipe' ;;
    --paper) _beamtally_lines "$typed" <<<$'a4\nletter' ;;
    --series) _beamtally_lines "$typed" <<<$'raw\nadjusted' ;;
    --session) _beamtally_lines "$typed" <<<$'day\nevery' ;;
    --keep) _beamtally_lines "$typed" <<<$'old\nnew\nboth' ;;
    --format)
      case $command in
        analyse | signals) _beamtally_lines "$typed" <<<$'text\njson\ncsv' ;;
        export) _beamtally_lines "$typed" <<<$'csv\njson' ;;
        *) _beamtally_lines "$typed" <<<$'text\njson' ;;
      esac
      ;;
    --ledger | --map | --rejects | --write | -o | --output) _beamtally_files -f "$typed" ;;
    --by | --why | --at | --from | --to | --until | --month | --cause | --action | --note | --state) ;;
    *)
      if [[ $typed == -* ]]; then
        _beamtally_lines "$typed" < <("$program" help --list options "$command" 2>/dev/null)
      elif [[ $command == help ]]; then
        _beamtally_lines "$typed" < <("$program" help --list commands 2>/dev/null)
      elif [[ $command == event ]]; then
        _beamtally_lines "$typed" < <("$program" help --list events 2>/dev/null)
      else
        _beamtally_files -f "$typed"
      fi
      ;;
  esac
}

complete -F _beamtally beamtally
